import type { TaskRunner } from "../graph/notebookGraph.ts";
export const runTask: TaskRunner = async () => { throw new Error("not yet"); };
