import type { NotebookDocument } from "../document/notebook.ts";
import type { CellKind, Registry } from "../graph/defineCell.ts";
import type { Outcome } from "../graph/outcome.ts";
import type { GlossaryTerm } from "../tables/glossary.ts";
import { nextStep, way } from "./nextStep.ts";

/** So many kinds are offered as what comes next. */
const mostNext = 3;
/** Fewer letters would find nearly every term. */
const fewestLetters = 3;

/**
 * Kinds that a few letters may mean: words that begin so in their names and in what they do, or in another form of a term
 * of the trade that stands there. Those whose name holds them come first.
 */
export function kindsMeant(
  typed: string,
  kinds: readonly CellKind[],
  glossary: readonly GlossaryTerm[],
): CellKind[] {
  const sought = wordsOf(typed);
  const forms = sought.map((start) => [
    start,
    ...(start.length < fewestLetters ? [] : glossary.flatMap((term) => formsOf(term, start))),
  ]);
  const found = (text: string) => {
    const words = ` ${wordsOf(text).join(" ")}`;
    return forms.every((some) => some.some((form) => words.includes(` ${form}`)));
  };
  const [named, told] = [new Set<CellKind>(), new Set<CellKind>()];
  for (const kind of kinds) {
    if (found(kind.label)) named.add(kind);
    else if (found(`${kind.label} ${kind.about}`)) told.add(kind);
  }
  return [...named, ...told];
}

function formsOf({ term, also }: GlossaryTerm, start: string): string[] {
  const forms = [term, ...also].map((form) => wordsOf(form).join(" ")).filter((form) => form !== "");
  return forms.some((form) => ` ${form}`.includes(` ${start}`)) ? forms : [];
}

const wordsOf = (text: string): string[] => text.toLowerCase().match(/[\p{L}\p{N}*]+/gu) ?? [];

/**
 * What most likely comes next: what the guide would add, then kinds on the way to a job that are not there yet and find here
 * whatever they need.
 */
export function kindsNext(
  document: NotebookDocument,
  registry: Registry,
  outcomeOf: (id: string) => Outcome,
): CellKind[] {
  const step = nextStep(document, registry, outcomeOf);
  const next = new Set<CellKind>(step?.do === "add" ? [step.kind] : []);
  const present = new Set(document.cells.map(({ kind }) => kind));
  const given = new Set(document.cells.map(({ kind }) => registry.get(kind)?.output));
  const finds = ({ inputs }: CellKind) =>
    Object.values(inputs).every(({ type, optional }) => optional || given.has(type));
  for (const name of [...way.map(({ kind }) => kind), ...registry.keys()]) {
    const kind = registry.get(name);
    if (next.size === mostNext) break;
    if (kind && !present.has(name) && Object.keys(kind.inputs).length > 0 && finds(kind)) next.add(kind);
  }
  return [...next];
}
