/** How a long task is followed and stopped. */
export interface RunOptions {
  readonly signal?: AbortSignal;
  readonly onProgress?: (share: number, text?: string) => void;
}

/** Runs a long task by its name; settles with its result, or rejects with the signal's reason when stopped. */
export type RunTask = <Result>(task: string, args: unknown, options?: RunOptions) => Promise<Result>;
