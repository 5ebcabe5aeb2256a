import type { ReadingAnswers } from "../tables/doubt.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import { readColourFile } from "./readColourFile.ts";

/**
 * The measured spectra of a file in any form that is read, for cells that can use nothing else.
 *
 * @throws SpectrumFileError for a file that cannot be read or holds no spectrum
 */
export function readSpectra(
  text: string,
  name: string,
  onProgress?: (share: number) => void,
  answers?: ReadingAnswers,
): {
  samples: { label: string; wavelengths: readonly number[]; values: readonly number[] }[];
  notes: string[];
} {
  const { samples, assumptions } = readColourFile(name, text, onProgress, answers);
  const spectra = samples.filter((sample) => sample.kind === "spectrum");
  if (spectra.length === 0) {
    throw new SpectrumFileError(
      name,
      "it holds colours in Lab or XYZ only, and a spectrum is needed here",
      "Export the spectra",
    );
  }
  const left = samples.length - spectra.length;
  return {
    samples: spectra.map(({ label, wavelengths, values }) => ({ label, wavelengths, values })),
    notes: left > 0 ? [...assumptions, `without a spectrum, and left out: ${left}`] : [...assumptions],
  };
}
