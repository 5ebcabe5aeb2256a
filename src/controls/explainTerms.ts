import { html, type TemplateResult } from "lit";
import "./boleTerm.ts";
import { cutAtTerms, type ExplainedTerm } from "./termPieces.ts";

/** A text with its terms explained on a tap. */
export function explainTerms(text: string, terms: readonly ExplainedTerm[]): (string | TemplateResult)[] {
  return cutAtTerms(text, terms).map((piece) =>
    typeof piece === "string"
      ? piece
      : html`<bole-term .word=${piece.word} .meaning=${piece.meaning} .tail=${piece.tail}></bole-term>`,
  );
}
