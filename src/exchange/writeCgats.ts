import type { ColourSample, Conditions, SpectralSample } from "./colourSample.ts";
import { numberText } from "./writeSpectrumCsv.ts";

/** What the head of an exported file says. */
export interface ExportHeading {
  /** who or what made the file */
  readonly originator: string;
  readonly description: string;
  /** date as text, e.g. "2026-11-25"; given by the caller, as the core has no clock */
  readonly created: string;
}

/**
 * CGATS.17 text of spectra (fields SPECTRAL_NM_380 …, fractions, SPECTRAL_NORM 1), Lab and XYZ: one table for each kind,
 * grid and condition, in the order given. What is written is read back the same.
 *
 * @throws RangeError for no samples or values not finite
 * Source: CGATS.17 (ANSI CGATS.17-2009, ISO 28178; from memory).
 */
export function writeCgats(samples: readonly ColourSample[], heading: ExportHeading): string {
  if (samples.length === 0) throw new RangeError("no samples: at least one is needed");
  const groups = new Map<string, ColourSample[]>();
  for (const sample of samples) {
    const key = JSON.stringify([
      sample.kind,
      sample.specular,
      sample.kind === "spectrum" ? sample.wavelengths : [sample.observer, sample.illuminant],
    ]);
    const group = groups.get(key);
    if (group) group.push(sample);
    else groups.set(key, [sample]);
  }
  const lines = ["CGATS.17"];
  for (const group of groups.values()) {
    const { fields, rows } =
      group[0].kind === "spectrum" ? spectra(group as SpectralSample[]) : colours(group);
    lines.push(
      `ORIGINATOR ${quoted(heading.originator)}`,
      `FILE_DESCRIPTOR ${quoted(heading.description)}`,
      `CREATED ${quoted(heading.created)}`,
      ...conditionLines(group[0]),
      ...(group[0].kind === "spectrum" ? ['KEYWORD "SPECTRAL_NORM"', "SPECTRAL_NORM 1"] : []),
      ...fields
        .slice(2)
        .filter((field) => field.startsWith("SPECTRAL"))
        .map((field) => `KEYWORD "${field}"`),
      `NUMBER_OF_FIELDS ${fields.length}`,
      "BEGIN_DATA_FORMAT",
      fields.join("\t"),
      "END_DATA_FORMAT",
      `NUMBER_OF_SETS ${rows.length}`,
      "BEGIN_DATA",
      ...rows.map((row) => row.join("\t")),
      "END_DATA",
    );
  }
  return `${lines.join("\n")}\n`;
}

function spectra(samples: readonly SpectralSample[]): { fields: string[]; rows: string[][] } {
  const fields = ["SAMPLE_ID", "SAMPLE_NAME", ...samples[0].wavelengths.map((nm) => `SPECTRAL_NM_${nm}`)];
  const rows = samples.map(({ label, values }, i) => [
    String(i + 1),
    quoted(label),
    ...values.map(numberText),
  ]);
  return { fields, rows };
}

function colours(samples: readonly ColourSample[]): { fields: string[]; rows: string[][] } {
  const axes = samples[0].kind === "Lab" ? ["LAB_L", "LAB_A", "LAB_B"] : ["XYZ_X", "XYZ_Y", "XYZ_Z"];
  const rows = samples.map((sample, i) => {
    const values = sample.kind === "Lab" ? sample.Lab : sample.kind === "XYZ" ? sample.XYZ : [];
    return [String(i + 1), quoted(sample.label), ...values.map(numberText)];
  });
  return { fields: ["SAMPLE_ID", "SAMPLE_NAME", ...axes], rows };
}

function conditionLines(sample: ColourSample): string[] {
  const { observer, illuminant }: Conditions = sample.kind === "spectrum" ? {} : sample;
  const lines: string[] = [];
  if (illuminant !== undefined) lines.push(`ILLUMINATION_NAME ${quoted(illuminant)}`);
  if (observer !== undefined) lines.push(`OBSERVER_ANGLE ${quoted(observer === "1931-2" ? "2" : "10")}`);
  if (sample.specular !== undefined) {
    lines.push('KEYWORD "SPECULAR"', `SPECULAR ${quoted(`specular ${sample.specular}`)}`);
  }
  return lines;
}

function quoted(text: string): string {
  return `"${text.replace(/\s+/g, " ").replaceAll('"', '""').trim()}"`;
}
