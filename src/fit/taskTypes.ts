/** What a long task is given beside its arguments. */
export interface TaskContext {
  /** Aborted when the result is no longer wanted. */
  readonly signal: AbortSignal;
  /** Tell how far the task is, 0…1. */
  onProgress(share: number, text?: string): void;
  /**
   * Run one named task for each of many arguments, wherever there is room, and give the results in the order of the
   * arguments. Only for tasks marked by `splitting`; rejects with the signal's reason when stopped.
   */
  each<Result>(
    task: string,
    args: readonly unknown[],
    onResult?: (result: Result, index: number) => void,
  ): Promise<Result[]>;
}

/** A long task: plain data in, plain data out (typed arrays welcome), so that both may travel to a worker. */
export interface Task {
  (args: never, context: TaskContext): unknown;
  /** The task itself is light and hands parts to other tasks; it runs beside the page, its parts in workers. */
  readonly splits?: true;
}

/** Mark a task as one that only hands out parts. */
export function splitting<Args, Result>(task: (args: Args, context: TaskContext) => Promise<Result>): Task {
  return Object.assign((args: Args, context: TaskContext) => task(args, context), { splits: true as const });
}
