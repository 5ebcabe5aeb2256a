import { type DrawdownColours, holdsColoursOnly, readDrawdownColours } from "./drawdownColours.ts";
import { type DrawdownFile, readDrawdownFile } from "./drawdownFile.ts";

/** A file of drawdowns, as spectra or as colours. */
export type AnyDrawdowns =
  | { readonly holds: "spectra"; readonly file: DrawdownFile }
  | { readonly holds: "colours"; readonly file: DrawdownColours };

/** Reads a file of drawdowns, whichever of the two it holds. @throws SpectrumFileError */
export function readAnyDrawdowns(text: string, fileName: string): AnyDrawdowns {
  return holdsColoursOnly(text, fileName)
    ? { holds: "colours", file: readDrawdownColours(text, fileName) }
    : { holds: "spectra", file: readDrawdownFile(text, fileName) };
}
