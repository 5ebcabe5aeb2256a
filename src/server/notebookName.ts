import { Refusal } from "./refusal.ts";

/** Ending of notebook files in the folder. */
export const fileEnding = ".bole.json";

const longestName = 80;
/** In UTF-8; file systems allow 255 for the name with all that is put around it. */
const mostBytes = 200;
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
    Buffer.byteLength(name) <= mostBytes &&
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
  const words = title
    .normalize("NFC")
    .toLowerCase()
    .replace(/[^\p{L}\p{M}\p{N}]+/gu, "-")
    .replace(/^[-\p{M}]+/u, "");
  const name = within(words, longestName - 50).replace(/-+$/, "");
  return isName(name) ? name : "notebook";
}

/** The first of NAME, NAME-2, NAME-3 … that is not taken. */
export function freeName(name: string, taken: (name: string) => boolean): string {
  for (let number = 1; ; number++) {
    const ending = `-${number}`;
    const candidate = number === 1 ? name : within(name, ending.length).trimEnd() + ending;
    if (!taken(candidate)) return candidate;
  }
}

/** The longest beginning of a name that leaves room for so many signs more; never half a letter. */
function within(name: string, room: number): string {
  let [length, bytes, kept] = [room, room, ""];
  for (const letter of name) {
    length += letter.length;
    bytes += Buffer.byteLength(letter);
    if (length > longestName || bytes > mostBytes) break;
    kept += letter;
  }
  return kept;
}

/** The same for names that some file systems take for one: they differ in capitals or in how letters are composed. */
export function foldedName(name: string): string {
  return name.normalize("NFC").toUpperCase().toLowerCase().normalize("NFC");
}
