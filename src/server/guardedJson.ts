import { endlessNumberIn } from "../document/notebook.ts";
import { messageOf } from "../graph/messageOf.ts";
import { Refusal } from "./refusal.ts";

/** Deepest nesting of objects and lists that is read. */
const deepestNesting = 64;

const refusedKeys = new Set(["__proto__", "constructor", "prototype"]);
const suspectTexts = ["__proto__", "constructor", "prototype", "\\u"];

/**
 * Reads JSON from an untrusted text.
 *
 * @param what name of the text in messages, such as "The request"
 * @param given the text in UTF-8, where that is at hand
 * @param deepest deepest nesting allowed
 * @returns the value
 * @throws Refusal (400) for text that is not JSON, is nested deeper than `deepest`, uses a key that could reach the
 * prototype of an object, or has a number, such as 1e400, that is read as endless and would be written as null
 */
export function parseGuardedJson(
  text: string,
  what: string,
  given: Uint8Array = Buffer.from(text),
  deepest: number = deepestNesting,
): unknown {
  // A plain array: reading from a Buffer is slower.
  if (nestsTooDeep(new Uint8Array(given.buffer, given.byteOffset, given.length), deepest)) {
    throw new Refusal(400, `${what} is nested deeper than ${deepest} levels; nothing was read.`);
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new Refusal(400, `${what} is not valid JSON: ${messageOf(error)}`);
  }
  // Few texts hold such a word, or a letter written as a number that could hide one: only those are gone through.
  const isSuspect = suspectTexts.some((suspect) => text.includes(suspect));
  if (isSuspect && typeof value === "object" && value !== null) refuseKeys(value, what);
  const endless = endlessNumberIn(value);
  if (endless !== undefined) {
    throw new Refusal(
      400,
      `${what} has a number at ${endless || "its top"} that is larger than any that can be kept; it would be lost.`,
    );
  }
  return value;
}

/**
 * Looks at the text before it is parsed, so that a deep text costs one pass and no memory. At the bytes, because that is
 * more than twice as fast; no part of a letter outside ASCII looks like one of the signs.
 */
function nestsTooDeep(bytes: Uint8Array, deepest: number): boolean {
  let depth = 0;
  const { length } = bytes;
  for (let i = 0; i < length; i++) {
    const code = bytes[i];
    if (code < 91 && code !== 34) continue; // digits, commas and spaces: most of a notebook
    if (code === 34) {
      for (i++; i < length && bytes[i] !== 34; i++) if (bytes[i] === 92) i++;
    } else if (code === 91 || code === 123) {
      if (++depth > deepest) return true;
    } else if (code === 93 || code === 125) depth--;
  }
  return false;
}

/** The depth is bounded before this is called, so recursion is safe. */
function refuseKeys(value: object, what: string): void {
  if (Array.isArray(value)) {
    for (const item of value) if (typeof item === "object" && item !== null) refuseKeys(item, what);
    return;
  }
  for (const key of Object.keys(value)) {
    if (refusedKeys.has(key)) throw new Refusal(400, `${what} uses the key "${key}", which is not allowed.`);
    const inner = (value as Record<string, unknown>)[key];
    if (typeof inner === "object" && inner !== null) refuseKeys(inner, what);
  }
}
