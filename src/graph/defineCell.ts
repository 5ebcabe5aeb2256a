import type { Progress, RunTask } from "../tasks/longTask.ts";
import type { UnitSystem } from "../units/units.ts";
import type { ParameterSpecs, ParameterValues } from "./parameters.ts";
import type { Offered, Quantity } from "./quantity.ts";
import type { Verdict } from "./verdict.ts";

/** A port of this type takes every cell, and receives it as `Offered`. */
export const anyPort = "any";

/** An input of a cell kind; cells that give its type are interchangeable. */
export interface Port<Type extends string = string> {
  readonly type: Type;
  readonly label: string;
  /** Several cells may be linked; compute then receives an array in link order. */
  readonly many?: boolean;
  /** The cell computes without it; compute then receives undefined (or an empty array). */
  readonly optional?: boolean;
}

type Ports<Type extends string = string> = Readonly<Record<string, Port<Type>>>;

/** What compute receives behind some ports, where `Values` tells the value of each type of port. */
type InputValues<Inputs extends Ports, Values> = {
  [Name in keyof Inputs]: InputValue<Inputs[Name], Values[Inputs[Name]["type"] & keyof Values]>;
};
type InputValue<Of extends Port, Value> = Of extends { many: true }
  ? Value[]
  : Of extends { optional: true }
    ? Value | undefined
    : Value;

/** What the host hands to a computing cell. */
export interface ComputeContext {
  /** Aborted when the result is no longer wanted; long work must settle then. */
  readonly signal: AbortSignal;
  /** Run a long task: a worker pool in the page, a direct call in Node. */
  readonly run: RunTask;
  /** Something that a person should know about the result. */
  note(text: string): void;
  /** Tell how far long work is, 0…1. */
  readonly progress: Progress;
  /** What another cell would offer if some parameters were different; the notebook itself stays as it is. */
  evaluate(changes: Readonly<Record<string, Readonly<Record<string, unknown>>>>, wanted: string): Offered;
  /** Id and title of this cell. */
  readonly id: string;
  readonly title: string;
}

/** What the host hands to an action. */
export interface ActionContext extends ComputeContext {
  /** Change parameters of another cell in the same step, as far as the action comes to its end. */
  also(id: string, patch: Readonly<Record<string, unknown>>): void;
}

/** What a value makes a person had better do: an action of the cell, and why. */
interface Advice {
  readonly action: string;
  readonly why: string;
}

/** Something a person can ask a cell to do; it answers with new parameters. */
interface CellAction {
  readonly label: string;
  run(
    inputs: Record<string, unknown>,
    parameters: Record<string, unknown>,
    context: ActionContext,
  ): Promise<Record<string, unknown>> | Record<string, unknown>;
}

/** The type-erased form of a cell kind that the graph and the shell work with. */
export interface CellKind {
  readonly kind: string;
  /** Plain name of the kind as shown to people. */
  readonly label: string;
  /** Two sentences: what the cell does, in which units. */
  readonly about: string;
  readonly inputs: Ports;
  /** Type of the value, where other cells take it. */
  readonly output?: string;
  readonly parameters: ParameterSpecs;
  compute(
    inputs: Record<string, unknown>,
    parameters: Record<string, unknown>,
    context: ComputeContext,
  ): unknown | Promise<unknown>;
  readonly actions?: Readonly<Record<string, CellAction>>;
  /** What the value comes to, in a sentence or two with the key figure; undefined where there is nothing to say yet. */
  verdict?(value: unknown, parameters: Record<string, unknown>, units: UnitSystem): Verdict | undefined;
  /** A plain summary of the value for the headless runner; numbers and texts only. */
  summarise?(value: unknown): unknown;
  /** The named numbers of the value that other cells may ask for. */
  quantities?(value: unknown): readonly Quantity[];
  /** What a person had better do about the value, if anything. */
  advice?(value: unknown): Advice | undefined;
  /**
   * What its view tells, in names that kinds agree on: first what is asked when it is asked about, then what else it shows.
   * A kind that takes inputs and says nothing here is taken to tell everything.
   */
  readonly tells?: readonly string[];
  /** For a kind that asks a learner: what it asks and what it speaks of, by its settings. */
  asks?(parameters: Record<string, unknown>): Asking;
}

/** What a question asks, and what its own words give away; numbers as in askedQuantity.ts, "" for the first there is. */
export interface Asking {
  /** Not answered yet. */
  readonly isOpen: boolean;
  /** The input behind which the cells are that it asks about. */
  readonly about: string;
  /** The numbers that answer it. */
  readonly answers: readonly string[];
  /** The numbers that its words hold beside its own answers, before or after the answer. */
  readonly mentions: readonly string[];
}

interface TypedCellKind<Inputs, Values, Specs extends ParameterSpecs, Value, Output> {
  readonly kind: string;
  readonly label: string;
  readonly about: string;
  readonly inputs: Inputs;
  readonly output?: Output;
  readonly parameters: Specs;
  compute(
    inputs: Values,
    parameters: ParameterValues<Specs>,
    context: ComputeContext,
  ): Value | Promise<Value>;
  readonly actions?: {
    readonly [name: string]: {
      readonly label: string;
      run(
        inputs: Partial<Values>,
        parameters: ParameterValues<Specs>,
        context: ActionContext,
      ): Promise<Partial<ParameterValues<Specs>>> | Partial<ParameterValues<Specs>>;
    };
  };
  verdict?(value: Value, parameters: ParameterValues<Specs>, units: UnitSystem): Verdict | undefined;
  summarise?(value: Value): unknown;
  quantities?(value: Value): readonly Quantity[];
  advice?(value: Value): Advice | undefined;
  readonly tells?: readonly string[];
  asks?(parameters: ParameterValues<Specs>): Asking;
}

/**
 * The way to declare cell kinds where `Values` tells which types of port there are and what flows through each.
 * A type of port that is not among them does not compile, nor does a value of another type. Compute stays a plain function,
 * so a test can call it with no graph at all.
 */
export function cellDefiner<Values extends { [anyPort]: Offered }>() {
  return <
    const Inputs extends Ports<keyof Values & string>,
    const Specs extends ParameterSpecs,
    Value extends Output extends keyof Values ? Values[Output] : unknown,
    Output extends Exclude<keyof Values & string, typeof anyPort> | undefined = undefined,
  >(
    definition: TypedCellKind<Inputs, InputValues<Inputs, Values>, Specs, Value, Output>,
  ) => definition as typeof definition & CellKind;
}

/** The list of kinds a notebook may use. */
export type Registry = ReadonlyMap<string, CellKind>;
