import exampleText from "../../data/examples/choose-the-ground.json?raw";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import type { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { groundJobOf, groundPointOf, withGround } from "../../src/ports/groundJob.ts";
import { computed } from "./computed.ts";

const whole = parseNotebook(exampleText);

/** The example notebook with only those of its last cells that a test looks at, so that the others cost nothing. */
export function exampleWith(...kinds: string[]): NotebookDocument {
  const heavy = ["how-sure", "ground-ranking", "three-paints", "joint-plan", "what-if", "ratio-sweep"];
  return {
    ...whole,
    cells: whole.cells.filter(({ kind }) => !heavy.includes(kind) || kinds.includes(kind)),
  };
}

export const coverageOf = (graph: NotebookGraph) => withGround(graph.lastValue("cover") as Coverage);

/** The job and the point that the example's coverage stands for. */
export function jobOf(graph: NotebookGraph) {
  const coverage = coverageOf(graph);
  const job = groundJobOf(coverage);
  return { coverage, job, point: groundPointOf(coverage, job) };
}

/** Run an action of a cell and compute the notebook with its answer. */
export async function acted(
  document: NotebookDocument,
  id: string,
  action: string,
  signal = new AbortController().signal,
) {
  const graph = await computed(document);
  const patch = await graph.act(id, action, signal);
  const answered = setParameters(document, id, patch);
  return { document: answered, graph: await computed(answered), patch };
}

/** Greatest difference over the parts with the notebook really set to something. */
export async function worstWhenSet(document: NotebookDocument): Promise<number> {
  const { parts, worst } = coverageOf(await computed(document));
  return parts[worst].painted.difference as number;
}
