/** Ids of the elements that hold the program: the page makes its worker from the same texts. */
export const programIds = { first: "bole-program", later: "bole-program-later" } as const;

/** The text by which a worker begins, after both scripts. */
export const workerBegins = "boleProgram.begin();";
