import { readFile } from "node:fs/promises";
import { textOfBytes } from "../tables/textOfBytes.ts";

/** What a command reads and writes; tests give their own. */
export interface Surroundings {
  /** Bytes of a file. */
  readFile(path: string): Promise<Uint8Array>;
  print(text: string): void;
  complain(text: string): void;
  /** The program of a thread in which a cell can be computed apart; without it all cells are computed here. */
  readonly kindThread?: URL;
}

/** The files and the terminal of this process. */
export const realSurroundings: Surroundings = {
  readFile: (path) => readFile(path),
  print: (text) => process.stdout.write(`${text}\n`),
  complain: (text) => process.stderr.write(`${text}\n`),
};

/** One command of the command line. */
export interface Command {
  name: string;
  /** One line for the list of commands. */
  summary: string;
  help: string;
  /** @returns exit code; throws InputError for what the user can put right */
  run(argv: string[], surroundings: Surroundings): Promise<number>;
}

/** Exit codes: 0 all is well, 1 a result that cannot be relied on, 2 nothing could be computed. */
export const exitCode = { ok: 0, failed: 1, unreadable: 2 } as const;

/** A fault in a file or an option, worded for the person at the keyboard. */
export class InputError extends Error {}

const largestFile = 20 * 1024 * 1024;

/**
 * Reads a text file.
 *
 * @throws InputError that names the file
 */
export async function readText(surroundings: Surroundings, path: string): Promise<string> {
  let bytes: Uint8Array;
  try {
    bytes = await surroundings.readFile(path);
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? "";
    const reasons: Record<string, string> = {
      ENOENT: "there is no such file",
      EISDIR: "this is a folder, not a file",
      EACCES: "the file may not be read",
    };
    throw new InputError(`${path}: ${reasons[code] ?? `the file cannot be read (${code || error})`}.`);
  }
  if (bytes.length > largestFile) throw new InputError(`${path}: the file is larger than 20 MB.`);
  try {
    return textOfBytes(bytes);
  } catch {
    throw new InputError(`${path}: the file is not UTF-8 or UTF-16 text.`);
  }
}

/** Prints a result as JSON; typed arrays become lists, and a list of numbers stays on one line. */
export function printJson(surroundings: Surroundings, value: unknown): void {
  const text = JSON.stringify(
    value,
    (_, part) => (part instanceof Float64Array ? Array.from(part) : part),
    2,
  );
  // A line break is never part of a JSON string, so only lists begin with a bracket at the end of a line.
  surroundings.print(
    text.replace(
      /\[\n\s+(-?\d[^[\]{}"]*?)\n\s+\]/g,
      (_, numbers: string) => `[${numbers.replace(/\n\s+/g, " ")}]`,
    ),
  );
}
