import type { FolderReadiness } from "./folderKeeper.ts";

/**
 * Runs what is done in a folder one after another, so that a check and the write that follows it are never parted, and
 * nothing before the folder was looked at.
 */
export class FolderQueue {
  readonly #readiness: FolderReadiness;
  #last: Promise<unknown> = Promise.resolve();

  constructor(readiness: FolderReadiness) {
    this.#readiness = readiness;
  }

  reading<Result>(task: () => Promise<Result>): Promise<Result> {
    return this.#add(() => this.#readiness.toRead().then(task));
  }

  writing<Result>(task: () => Promise<Result>): Promise<Result> {
    return this.#add(() => this.#readiness.toWrite().then(task));
  }

  /** Ends when everything asked before has been done. */
  settled(): Promise<void> {
    return this.#add(async () => undefined);
  }

  #add<Result>(task: () => Promise<Result>): Promise<Result> {
    const result = this.#last.then(task, task);
    this.#last = result.catch(() => undefined);
    return result;
  }
}
