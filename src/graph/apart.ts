import type { ActionContext, CellKind } from "./defineCell.ts";
import { errorOutcome, InputError, type SettledOutcome } from "./outcome.ts";

/** What is to be computed apart: plain data, so that it may travel to a worker. */
export interface ApartJob {
  readonly kind: string;
  readonly id: string;
  readonly title: string;
  readonly inputs: Record<string, unknown>;
  readonly parameters: Record<string, unknown>;
  /** Name of an action; undefined for the cell's value. */
  readonly action?: string;
}

/**
 * Computes cells whose code has no checked bound on its steps in a place of its own, which can be ended: nothing stops an
 * endless loop within its own thread.
 */
export interface Apart {
  /** Whether a kind has to be computed apart. */
  needs(kind: string): boolean;
  /** Settles always; a value that takes longer than `longestApart` gives the outcome `tookTooLong`. */
  compute(job: ApartJob, signal: AbortSignal): Promise<SettledOutcome>;
}

/** A value may take so long, ms. What a person asks for by an action may take longer: it has a way to stop. */
export const longestApart = 2000;

/** The outcome of a cell that was ended. */
export const tookTooLong: SettledOutcome = {
  status: "error",
  message: "This took longer than two seconds and was stopped",
  wayOut: "Change back what was changed last, or undo it",
  bug: false,
};

/** Computes a job in the place where it was sent; the outcome is plain data. */
export async function computeJob(kind: CellKind | undefined, job: ApartJob): Promise<SettledOutcome> {
  const { id, title, inputs, parameters, action } = job;
  const notes: string[] = [];
  const neither = (): never => {
    throw new InputError("A kind that is computed apart can neither ask or change others nor run long tasks");
  };
  const context: ActionContext = {
    signal: new AbortController().signal,
    id,
    title,
    note: (text) => void notes.push(text),
    progress: () => {},
    evaluate: neither,
    run: async () => neither(),
    also: neither,
  };
  try {
    if (!kind) throw new InputError(`There is no kind of cell called "${job.kind}"`);
    const value = await (action === undefined
      ? kind.compute(inputs, parameters, context)
      : kind.actions![action].run(inputs, parameters, context));
    return { status: "ok", value, notes };
  } catch (thrown) {
    return plainError(thrown);
  }
}

/** Anything thrown as an outcome that may travel: what caused it stays behind. */
export function plainError(thrown: unknown): SettledOutcome {
  const { cause: _, ...plain } = errorOutcome(thrown);
  return plain;
}
