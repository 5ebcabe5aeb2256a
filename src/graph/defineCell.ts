import type { Offered, Quantity } from "./offered.ts";
import type { ParameterSpecs, ParameterValues } from "./parameters.ts";

/** One kind of thing that flows along a link, e.g. "target". Cells with the same output type are interchangeable. */
export type PortType = string;

/** An input of a cell kind. */
export interface Port {
  readonly type: PortType;
  readonly label: string;
  /** Several cells may be linked; compute then receives an array in link order. */
  readonly many?: boolean;
  /** The cell computes without it; compute then receives undefined (or an empty array). */
  readonly optional?: boolean;
}

export type Ports = Readonly<Record<string, Port>>;

/** What the host hands to a computing cell. */
export interface ComputeContext {
  /** Aborted when the result is no longer wanted; long work must settle then. */
  readonly signal: AbortSignal;
  /** Run a named long task: a worker pool in the page, a direct call in Node. */
  run<Result>(task: string, args: unknown, options?: RunOptions): Promise<Result>;
  /** Something that a person should know about the result. */
  note(text: string): void;
  /** Tell how far long work is, 0…1. */
  progress(share: number, text?: string): void;
  /** What another cell would offer if some parameters were different; the notebook itself stays as it is. */
  evaluate(changes: Readonly<Record<string, Readonly<Record<string, unknown>>>>, wanted: string): Offered;
  /** Id and title of this cell. */
  readonly id: string;
  readonly title: string;
}

export interface RunOptions {
  readonly signal?: AbortSignal;
  readonly onProgress?: (share: number, text?: string) => void;
}

/** Something a person can ask a cell to do; it answers with new parameters. */
export interface CellAction {
  readonly label: string;
  run(
    inputs: Record<string, unknown>,
    parameters: Record<string, unknown>,
    context: ComputeContext,
  ): Promise<Record<string, unknown>> | Record<string, unknown>;
}

/** The type-erased form of a cell kind that the graph and the shell work with. */
export interface CellKind {
  readonly kind: string;
  /** Plain name of the kind as shown to people. */
  readonly label: string;
  /** Two sentences: what the cell does, in which units. */
  readonly about: string;
  /** Formula and source in one line, for the reader who asks why. */
  readonly source?: string;
  readonly inputs: Ports;
  readonly output: PortType;
  readonly parameters: ParameterSpecs;
  compute(
    inputs: Record<string, unknown>,
    parameters: Record<string, unknown>,
    context: ComputeContext,
  ): unknown | Promise<unknown>;
  readonly actions?: Readonly<Record<string, CellAction>>;
  /** A plain summary of the value for the headless runner; numbers and texts only. */
  summarise?(value: unknown): unknown;
  /** The named numbers of the value that other cells may ask for. */
  quantities?(value: unknown): readonly Quantity[];
}

interface TypedCellKind<Inputs, Specs extends ParameterSpecs, Value> {
  readonly kind: string;
  readonly label: string;
  readonly about: string;
  readonly source?: string;
  readonly inputs: { readonly [Name in keyof Inputs]: Port };
  readonly output: PortType;
  readonly parameters: Specs;
  compute(
    inputs: Inputs,
    parameters: ParameterValues<Specs>,
    context: ComputeContext,
  ): Value | Promise<Value>;
  readonly actions?: {
    readonly [name: string]: {
      readonly label: string;
      run(
        inputs: Partial<Inputs>,
        parameters: ParameterValues<Specs>,
        context: ComputeContext,
      ): Promise<Partial<ParameterValues<Specs>>> | Partial<ParameterValues<Specs>>;
    };
  };
  summarise?(value: Value): unknown;
  quantities?(value: Value): readonly Quantity[];
}

/** A cell kind with typed inputs, parameters and value, plus the erased face the graph uses. */
export type DefinedCell<Inputs, Specs extends ParameterSpecs, Value> = TypedCellKind<Inputs, Specs, Value> &
  CellKind;

/**
 * Declare a cell kind. `Inputs` names the value type behind each port (an array for `many`, `| undefined` for `optional`);
 * compute stays a plain function, so a test can call it with no graph at all.
 */
export function defineCell<Inputs>() {
  return <const Specs extends ParameterSpecs, Value>(
    definition: TypedCellKind<Inputs, Specs, Value>,
  ): DefinedCell<Inputs, Specs, Value> => definition as DefinedCell<Inputs, Specs, Value>;
}

/** The list of kinds a notebook may use. */
export type Registry = ReadonlyMap<string, CellKind>;
