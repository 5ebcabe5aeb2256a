import * as v from "valibot";
import { InputError } from "./outcome.ts";

interface Described {
  readonly label: string;
  /** One plain sentence for the curious. */
  readonly help?: string;
}

export interface NumberSpec extends Described {
  readonly type: "number";
  readonly unit?: string;
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly initial: number;
  readonly whole?: boolean;
  readonly digits?: number;
}

export interface ChoiceSpec<Value extends string = string> extends Described {
  readonly type: "choice";
  readonly options: readonly { readonly value: Value; readonly label: string }[];
  readonly initial: Value;
}

interface TextSpec extends Described {
  readonly type: "text";
  readonly initial: string;
  readonly maxLength: number;
  readonly long?: boolean;
}

interface ToggleSpec extends Described {
  readonly type: "toggle";
  readonly initial: boolean;
}

/** Anything with structure; checked by its own schema. */
interface ValueSpec<Value = unknown> extends Described {
  readonly type: "value";
  readonly schema: v.GenericSchema<unknown, Value>;
  readonly initial: Value;
}

export type ParameterSpec = NumberSpec | ChoiceSpec | TextSpec | ToggleSpec | ValueSpec;
export type ParameterSpecs = Readonly<Record<string, ParameterSpec>>;

type ParameterValue<Spec> = Spec extends NumberSpec
  ? number
  : Spec extends { type: "choice"; options: readonly { readonly value: infer Value }[] }
    ? Value
    : Spec extends TextSpec
      ? string
      : Spec extends ToggleSpec
        ? boolean
        : Spec extends ValueSpec<infer Value>
          ? Value
          : never;

export type ParameterValues<Specs> = { -readonly [Name in keyof Specs]: ParameterValue<Specs[Name]> };

/** A fresh set of initial values. */
export function initialParameters(specs: ParameterSpecs): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(specs).map(([name, spec]) => [name, structuredClone(spec.initial)]),
  );
}

/**
 * Check saved parameters against their specifications; missing ones take their initial value.
 * @throws InputError naming the field, the value, the allowed range and a way out
 */
export function checkParameters(
  specs: ParameterSpecs,
  given: Readonly<Record<string, unknown>>,
): Record<string, unknown> {
  for (const name of Object.keys(given)) {
    if (!Object.hasOwn(specs, name)) {
      throw new InputError(`There is no setting called "${name}" in this kind of cell`, {
        field: name,
        wayOut: `Known settings: ${Object.keys(specs).join(", ") || "none"}`,
      });
    }
  }
  const checked: Record<string, unknown> = {};
  for (const [name, spec] of Object.entries(specs)) {
    checked[name] = Object.hasOwn(given, name)
      ? checkParameter(name, spec, given[name])
      : structuredClone(spec.initial);
  }
  return checked;
}

function checkParameter(name: string, spec: ParameterSpec, value: unknown): unknown {
  const result = v.safeParse(schemaOf(spec), value);
  if (result.success) return result.output;
  const issue = result.issues[0];
  const where = issue.path?.map((part) => String(part.key)).join(" → ");
  const shown = issue.path?.length ? issue.input : value;
  throw new InputError(
    `${spec.label}${where ? ` (${where})` : ""} is ${show(shown)}: ${spec.type === "value" ? issue.message : allowed(spec)}`,
    { field: name, wayOut: `Start again from ${show(spec.initial)}` },
  );
}

function show(value: unknown): string {
  if (value === undefined) return "missing";
  const text = typeof value === "number" ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

/** The allowed values in words. */
function allowed(spec: ParameterSpec): string {
  switch (spec.type) {
    case "number":
      return `${spec.whole ? "a whole number" : "a number"} from ${spec.min} to ${spec.max}${spec.unit ? ` ${spec.unit}` : ""} is allowed`;
    case "choice":
      return `one of ${spec.options.map((option) => `"${option.value}"`).join(", ")} is allowed`;
    case "text":
      return `a text of at most ${spec.maxLength} characters is allowed`;
    case "toggle":
      return "true or false is allowed";
    case "value":
      return "see the message";
  }
}

const schemas = new WeakMap<ParameterSpec, v.GenericSchema>();

function schemaOf(spec: ParameterSpec): v.GenericSchema {
  let schema = schemas.get(spec);
  if (!schema) schemas.set(spec, (schema = buildSchema(spec)));
  return schema;
}

function buildSchema(spec: ParameterSpec): v.GenericSchema {
  switch (spec.type) {
    case "number": {
      const inRange = v.pipe(v.number(), v.finite(), v.minValue(spec.min), v.maxValue(spec.max));
      return spec.whole ? v.pipe(inRange, v.integer()) : inRange;
    }
    case "choice":
      return v.picklist(spec.options.map((option) => option.value));
    case "text":
      return v.pipe(v.string(), v.maxLength(spec.maxLength));
    case "toggle":
      return v.boolean();
    case "value":
      return spec.schema;
  }
}
