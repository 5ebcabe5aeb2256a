import { type ParseArgsConfig, parseArgs } from "node:util";
import { messageOf } from "../graph/messageOf.ts";
import { InputError } from "./surroundings.ts";

type Options = NonNullable<ParseArgsConfig["options"]>;

/**
 * Reads the options of a command.
 *
 * @throws InputError in plain words
 */
export function readOptions<T extends Options>(argv: string[], options: T) {
  try {
    return parseArgs({ args: argv, options, allowPositionals: true, strict: true });
  } catch (error) {
    throw new InputError(messageOf(error));
  }
}

/** Whether a text is a decimal number: "0x1F" would be 31. */
export const isDecimal = (text: string) => /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i.test(text);

/**
 * A number given as an option.
 *
 * @throws InputError that names option, value and allowed range
 */
export function numberOption(name: string, text: string, least: number, most: number, unit = ""): number {
  const value = isDecimal(text.trim()) ? Number(text) : Number.NaN;
  if (!(value >= least && value <= most)) {
    const range = most === Infinity ? `at least ${least}` : `from ${least} to ${most}`;
    throw new InputError(`${name} is "${text}", but has to be a number ${range}${unit && ` ${unit}`}.`);
  }
  return value;
}

/**
 * One of a few words given as an option.
 *
 * @throws InputError that lists the allowed words
 */
export function choiceOption<T extends string>(
  name: string,
  text: string | undefined,
  allowed: readonly T[],
): T {
  if (text === undefined) throw new InputError(`${name} is missing. Give one of: ${allowed.join(", ")}.`);
  if (!(allowed as readonly string[]).includes(text)) {
    throw new InputError(`${name} is "${text}", but has to be one of: ${allowed.join(", ")}.`);
  }
  return text as T;
}
