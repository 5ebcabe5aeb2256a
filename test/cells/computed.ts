import { registry } from "../../cells/allKinds.ts";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { runDirect } from "../../src/workers/direct.ts";

/** A notebook's graph when every cell has its outcome. */
export async function computed(document: NotebookDocument): Promise<NotebookGraph> {
  const graph = new NotebookGraph(registry, runDirect);
  graph.setCells(document.cells);
  await graph.settled();
  return graph;
}
