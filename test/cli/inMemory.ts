import { main } from "../../src/cli/main.ts";
import type { Command, Surroundings } from "../../src/cli/surroundings.ts";

export interface Outcome {
  code: number;
  out: string;
  complaint: string;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the tests
  json: any;
}

/** Surroundings whose files are only in memory, and what was said in them. */
function inMemory(files: Record<string, string | Uint8Array>) {
  const said = { out: "", complaint: "" };
  const surroundings: Surroundings = {
    readFile: async (path) => {
      if (!Object.hasOwn(files, path)) throw Object.assign(new Error(path), { code: "ENOENT" });
      const content = files[path];
      return typeof content === "string" ? new TextEncoder().encode(content) : content;
    },
    print: (text) => {
      said.out += `${text}\n`;
    },
    complain: (text) => {
      said.complaint += `${text}\n`;
    },
  };
  return { said, surroundings };
}

/** Runs the command line on files that are only in memory. */
export async function run(argv: string[], files: Record<string, string | Uint8Array> = {}): Promise<Outcome> {
  const { said, surroundings } = inMemory(files);
  const code = await main(argv, surroundings);
  let json: unknown;
  try {
    json = JSON.parse(said.out);
  } catch {
    json = undefined;
  }
  return { code, ...said, json };
}

/** Runs one command on files that are only in memory; what it throws comes through. */
export async function runCommand(command: Command, files: Record<string, string>, ...argv: string[]) {
  const { said, surroundings } = inMemory(files);
  const code = await command.run(argv, surroundings);
  return { code, answer: JSON.parse(said.out) };
}

export const workingWavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);

/** CSV text of one value for every wavelength of the working grid. */
export function flatSpectrum(value: number, wavelengths = workingWavelengths): string {
  return ["nm,R", ...wavelengths.map((nm) => `${nm},${value}`)].join("\n");
}

/** CSV text of a film with one K and one S. */
export function flatFilm(K: number, S: number, wavelengths = workingWavelengths): string {
  return ["# invented", "wavelength_nm,K,S", ...wavelengths.map((nm) => `${nm},${K},${S}`)].join("\n");
}
