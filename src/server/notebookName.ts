import { Refusal } from "./refusal.ts";

/** Ending of notebook files in the folder. */
export const fileEnding = ".bole.json";

const longestName = 80;
const pattern = /^[\p{L}\p{N}](?:[\p{L}\p{M}\p{N} _-]*[\p{L}\p{M}\p{N}_-])?$/u;
// Windows keeps these names for devices, with any ending.
const deviceName = /^(?:con|prn|aux|nul|com\d|lpt\d)$/i;

/**
 * Checks a notebook name: letters, digits, single spaces, `-` and `_`; no dots and no separators, so that a name
 * can never be a path or a hidden file.
 *
 * @returns the name in the composed Unicode form (NFC)
 * @throws Refusal (400) that says which names are allowed
 */
export function checkName(name: unknown): string {
  if (typeof name !== "string") throw new Refusal(400, "The notebook name is missing.");
  const composed = name.normalize("NFC");
  if (!isName(composed)) {
    throw new Refusal(
      400,
      `"${name.slice(0, longestName)}" cannot be a notebook name: use 1 to ${longestName} letters, digits, spaces, "-" or "_", and start with a letter or digit.`,
    );
  }
  return composed;
}

/** Whether a name is allowed as it stands. */
export function isName(name: string): boolean {
  return (
    name.length <= longestName &&
    new TextEncoder().encode(name).length <= 200 &&
    pattern.test(name) &&
    !deviceName.test(name) &&
    name === name.normalize("NFC")
  );
}

/** Name of the notebook that a file of the folder holds, or undefined for any other file. */
export function nameOfFile(fileName: string): string | undefined {
  if (!fileName.endsWith(fileEnding)) return undefined;
  const name = fileName.slice(0, -fileEnding.length);
  return isName(name) ? name : undefined;
}

/** A name made from a title: lower case, words joined by `-`; "notebook" when nothing is left. */
export function nameFromTitle(title: string): string {
  const name = title
    .normalize("NFC")
    .toLowerCase()
    .replace(/[^\p{L}\p{M}\p{N}]+/gu, "-")
    .slice(0, 50)
    .replace(/^[-\p{M}]+|-+$/gu, "");
  return isName(name) ? name : "notebook";
}

/** The first of NAME, NAME-2, NAME-3 … that is not taken. */
export function freeName(name: string, taken: (name: string) => boolean): string {
  const base = name.slice(0, longestName - 6).trimEnd();
  for (let number = 1; ; number++) {
    const candidate = number === 1 ? name : `${base}-${number}`;
    if (!taken(candidate)) return candidate;
  }
}
