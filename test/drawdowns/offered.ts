import {
  bareRows,
  type ColourConditions,
  coloursOf,
  type OfferedReadings,
  spectraOf,
  typedColours,
} from "../../src/drawdowns/offeredReadings.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";

/**
 * Spectra of a file or a pasted text: CSV, CGATS, CxF, or bare rows of 31, 36 or 39 values.
 *
 * @throws Error with the words for the person
 */
export function offeredSpectra(text: string, name: string): OfferedReadings {
  return bareRows(text) ?? spectraOf(readColourFile(name, text), name);
}

/**
 * Colours of a file or a pasted text: one "L* a* b*" on each line, CSV, CGATS, CxF; XYZ is turned into Lab, spectra are
 * looked at under the stated light.
 *
 * @throws Error with the words for the person, also when the text states another light or observer
 */
export function offeredColours(text: string, name: string, conditions: ColourConditions): OfferedReadings {
  return typedColours(text, name, conditions) ?? coloursOf(readColourFile(name, text), name, conditions);
}
