import type { CellId } from "./cellId.ts";
import { messageOf } from "./messageOf.ts";

/** Finished: the value, and what a person should know about how it came about (interpolated, extended, doubtful). */
interface OkOutcome<Value = unknown> {
  readonly status: "ok";
  readonly value: Value;
  readonly notes: readonly string[];
}

/** The cell's own fault: the message says what, where, and what is allowed. */
interface ErrorOutcome {
  readonly status: "error";
  readonly message: string;
  /** Name of the parameter or input at fault, when it is known. */
  readonly field?: string;
  /** What a person can do about it. */
  readonly wayOut?: string;
  readonly cause?: unknown;
  /** True for a thrown bug, false for input that a person can mend. */
  readonly bug: boolean;
  /** True when nothing is wrong, but something that only a person can give is not there yet. */
  readonly toGive?: boolean;
}

/** Not computed because a cell further up is in error; names the root, not just the neighbour. */
interface BlockedOutcome {
  readonly status: "blocked";
  readonly root: CellId;
  readonly rootTitle: string;
  readonly message: string;
}

/** Being computed now; `share` is 0…1 when the work can tell. */
interface RunningOutcome {
  readonly status: "running";
  readonly share?: number;
  readonly text?: string;
}

export type SettledOutcome<Value = unknown> = OkOutcome<Value> | ErrorOutcome | BlockedOutcome;
export type Outcome<Value = unknown> = SettledOutcome<Value> | RunningOutcome;

/** An error that a person can mend: names the field and a way out. `toGive`: nothing is wrong, something is still to be given. */
export class InputError extends Error {
  readonly field?: string;
  readonly wayOut?: string;
  readonly toGive?: boolean;
  constructor(
    message: string,
    options: { field?: string; wayOut?: string; toGive?: boolean; cause?: unknown } = {},
  ) {
    super(message, { cause: options.cause });
    this.name = "InputError";
    this.field = options.field;
    this.wayOut = options.wayOut;
    if (options.toGive) this.toGive = true;
  }
}

/**
 * Does a step of a compute whose numbers all come from one field: what the core refuses of them is an error of that field.
 * @throws InputError in the place of a RangeError; anything else as it is
 */
export function blaming<Result>(at: { field: string; wayOut: string }, work: () => Result): Result {
  try {
    return work();
  } catch (cause) {
    if (!(cause instanceof RangeError)) throw cause;
    throw new InputError(cause.message, { ...at, cause });
  }
}

/** Turn anything thrown into an error outcome. Range and type errors of the core are input errors, the rest are bugs. */
export function errorOutcome(thrown: unknown): ErrorOutcome {
  if (thrown instanceof InputError) {
    const { message, field, wayOut, toGive } = thrown;
    return {
      status: "error",
      message,
      field,
      wayOut,
      cause: thrown,
      bug: false,
      ...(toGive ? { toGive } : {}),
    };
  }
  if (thrown instanceof RangeError)
    return { status: "error", message: thrown.message, cause: thrown, bug: false };
  // Readers of user files throw their own classes and mark them so.
  if (thrown instanceof Error && "userMessage" in thrown) {
    return { status: "error", message: thrown.message, cause: thrown, bug: false };
  }
  const message = messageOf(thrown);
  return { status: "error", message: `This is a fault in the program: ${message}`, cause: thrown, bug: true };
}
