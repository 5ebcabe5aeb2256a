import type { TaskRunner } from "../graph/notebookGraph.ts";
export const runDirect: TaskRunner = async () => { throw new Error("not yet"); };
