import { main } from "../../src/cli/main.ts";

export interface Outcome {
  code: number;
  out: string;
  complaint: string;
  // biome-ignore lint/suspicious/noExplicitAny: answers are checked by the tests
  json: any;
}

/** Runs a command on files that are only in memory. */
export async function run(argv: string[], files: Record<string, string | Uint8Array> = {}): Promise<Outcome> {
  let out = "";
  let complaint = "";
  const code = await main(argv, {
    readFile: async (path) => {
      if (!Object.hasOwn(files, path)) throw Object.assign(new Error(path), { code: "ENOENT" });
      const content = files[path];
      return typeof content === "string" ? new TextEncoder().encode(content) : content;
    },
    print: (text) => {
      out += `${text}\n`;
    },
    complain: (text) => {
      complaint += `${text}\n`;
    },
  });
  let json: unknown;
  try {
    json = JSON.parse(out);
  } catch {
    json = undefined;
  }
  return { code, out, complaint, json };
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
