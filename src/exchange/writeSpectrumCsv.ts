import type { SpectralSample } from "./colourSample.ts";

/**
 * CSV text of spectra on common wavelengths: comment lines, then `wavelength_nm` and a column for each sample, fractions
 * in full precision. What is written is read back the same.
 *
 * @param comments lines that say where the figures come from   @param samples on the same wavelengths
 * @throws RangeError for no samples, wavelengths that differ, or values not finite
 */
export function writeSpectrumCsv(
  samples: readonly SpectralSample[],
  comments: readonly string[] = [],
): string {
  const wavelengths = commonWavelengths(samples);
  const header = ["wavelength_nm", ...samples.map((sample, i) => safeLabel(sample.label, i))];
  const rows = wavelengths.map((nm, i) => [nm, ...samples.map((sample) => numberText(sample.values[i]))]);
  return [
    ...comments.flatMap((comment) => comment.split(/\r\n?|\n/)).map((line) => `# ${line}`),
    header.map(quoted).join(","),
    ...rows.map((row) => row.join(",")),
    "",
  ].join("\n");
}

/** The wavelengths that all samples share. @throws RangeError when they do not */
function commonWavelengths(samples: readonly SpectralSample[]): readonly number[] {
  if (samples.length === 0) throw new RangeError("no spectra: at least one is needed");
  const [{ wavelengths, label }] = samples;
  for (const other of samples) {
    if (other.values.length !== other.wavelengths.length) {
      throw new RangeError(
        `"${other.label}" has ${other.values.length} values on ${other.wavelengths.length} wavelengths`,
      );
    }
    if (
      other.wavelengths.length !== wavelengths.length ||
      other.wavelengths.some((nm, i) => nm !== wavelengths[i])
    ) {
      throw new RangeError(
        `"${label}" and "${other.label}" lie on different wavelengths: export them one by one`,
      );
    }
  }
  return wavelengths;
}

/** A number as text that gives the same number back. @throws RangeError for anything not finite */
export function numberText(value: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`value = ${value}: must be a finite number`);
  return Object.is(value, -0) ? "0" : String(value);
}

/**
 * A label on one line that is neither empty nor mistaken for a wavelength, and says nothing of per cent: figures are
 * fractions here.
 */
function safeLabel(label: string, index: number): string {
  const line = label.replace(/\s+/g, " ").replaceAll("\0", "").trim().replaceAll("%", "per cent");
  if (line === "") return `Sample ${index + 1}`;
  return /^[\d.,+-]+(?:\s*nm)?$/i.test(line) ? `sample ${line}` : line;
}

function quoted(field: string): string {
  return /[",;#\t]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
