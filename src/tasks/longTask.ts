/** Told how far a long task is, 0…1. */
export type Progress = (share: number, text?: string) => void;

declare const types: unique symbol;

/**
 * A long task as those know it who ask for it: its name and the types of what it takes and gives, none of its code.
 * Both are plain data (typed arrays welcome), so that they may travel to a worker.
 */
export interface LongTask<Args, Result> {
  readonly name: string;
  /** Never there: it carries the types. */
  readonly [types]?: (args: Args) => Result;
}

/** Name a long task; its code is told in src/workers/tasks.ts. */
export function longTask<Args, Result>(name: string): LongTask<Args, Result> {
  return { name };
}

/** How a long task is followed and stopped. */
interface RunOptions {
  readonly signal?: AbortSignal;
  readonly onProgress?: Progress;
}

/** Runs a long task; settles with its result, or rejects with the signal's reason when stopped. */
export type RunTask = <Args, Result>(
  task: LongTask<Args, Result>,
  args: NoInfer<Args>,
  options?: RunOptions,
) => Promise<Result>;

/** A piece of a task that may run beside other pieces. */
export type Part = (args: never) => unknown;

/** What a splitting task is given beside its arguments. */
export interface SplitContext<Parts extends Part> {
  /** Aborted when the result is no longer wanted. */
  readonly signal: AbortSignal;
  readonly onProgress: Progress;
  /**
   * Run one part for each of many arguments, wherever there is room, and give the results in the order of the arguments;
   * rejects with the signal's reason when stopped.
   */
  readonly each: <Args, Result>(
    part: Parts & ((args: Args) => Result),
    list: readonly NoInfer<Args>[],
    onResult?: (result: NoInfer<Result>, index: number) => void,
  ) => Promise<Result[]>;
}

/** A task that is light itself and hands out parts: it runs beside the page, its parts in workers. */
export interface Splitting<Args, Result> {
  readonly parts: readonly Part[];
  readonly split: (args: Args, context: SplitContext<Part>) => Promise<Result>;
}

/** The code of a long task; one that is loaded when it is needed gives a promise. */
export type TaskCode<Args, Result> =
  | ((args: Args, onProgress: Progress) => Result | Promise<Result>)
  | Splitting<Args, Result>;

/** A task that hands out parts, with all of the parts it may hand out. */
export function splitting<Args, Result, Parts extends Part>(
  split: (args: Args, context: SplitContext<NoInfer<Parts>>) => Promise<Result>,
  parts: readonly Parts[],
): Splitting<Args, Result> {
  return { split, parts };
}
