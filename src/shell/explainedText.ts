import { until } from "lit/directives/until.js";

const explained = new Map<string, Promise<unknown>>();

/** A text with its terms explained on a tap; plain until the glossary has been loaded. */
export function explainedText(text: string) {
  let pieces = explained.get(text);
  if (!pieces) {
    pieces = Promise.all([import("../tables/glossary.ts"), import("../controls/explainTerms.ts")]).then(
      ([{ glossary }, { explainTerms }]) => explainTerms(text, glossary),
      () => text,
    );
    explained.set(text, pieces);
  }
  return until(pieces, text);
}
