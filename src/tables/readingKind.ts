import { SpectrumFileError } from "./spectrumFileError.ts";
import type { SpectrumCells } from "./spectrumFileForms.ts";

/** Words for spectra that are no reflectances. A transmission is also a part of a car, and its cover may be recoloured. */
const otherKinds: readonly (readonly [RegExp, string])[] = [
  [
    /transmittan|(?:spectral|percent|%) transmission|transmission (?:spectr|factor|densit|%)|^\W*transmission\W*$/i,
    "transmission",
  ],
  [/absorban|optical densit/i, "absorbance"],
  [/(?:^|[^a-z])K\s?\/\s?S(?![a-z])/i, "K/S"],
  [/(?:^|[^a-z])[mµu]?W\s?\/\s?(?:m|cm|sr|nm)|radian(?:ce|t)|irradian|emissive/i, "radiation"],
];
/** The usual letter of transmission; as the name of a single sample it says nothing. */
const onlyT = /^\W*T\W*$/;

/** Refuses columns that all are headed T. @throws SpectrumFileError */
export function refuseOnlyT(labels: readonly string[], file: string): void {
  if (labels.length === 0 || !labels.every((label) => onlyT.test(label.slice(0, 40)))) return;
  throw new SpectrumFileError(
    file,
    "T stands for transmission, and only reflectance can be read",
    "Export the reflectance, or name the samples otherwise",
    undefined,
    labels[0].slice(0, 40),
  );
}

/**
 * Refuses what is by its heading, comment or keyword a spectrum of another kind.
 *
 * @throws SpectrumFileError
 */
export function refuseOtherKind(said: string, file: string, field: string): void {
  const some = said.slice(0, 400);
  if (/reflect/i.test(some)) return;
  const found = otherKinds.find(([word]) => word.test(some));
  if (!found) return;
  throw new SpectrumFileError(
    file,
    `"${some.slice(0, 60)}" speaks of ${found[1]}, and only reflectance can be read`,
    "Export the reflectance, or correct the words",
    undefined,
    field.slice(0, 60),
  );
}

/** Refuses wavelengths that a heading gives in another unit than nm. @throws SpectrumFileError */
export function refuseOtherUnit(header: readonly string[], file: string): void {
  const other = header
    .slice(0, 3)
    .find((cell) =>
      /cm\^?\s?[-−]1|cm⁻¹|wavenumber|[µμ]m\b|(?:wave\w*|lambda|λ).{0,3}(?:[\s_([](?:A|Å|um)\b|Å)/i.test(
        cell.slice(0, 60),
      ),
    );
  if (other === undefined) return;
  throw new SpectrumFileError(
    file,
    "the wavelengths are not in nm",
    "Give wavelengths in nm",
    undefined,
    other.slice(0, 60),
  );
}

/** The samples without columns that only count the rows or tell how much readings scatter; told in a note. */
export function withoutOtherColumns(cells: SpectrumCells, notes: string[]): SpectrumCells {
  const keep: number[] = [];
  const left: string[] = [];
  cells.labels.forEach((label, i) => {
    const counts =
      cells.readings[i].every(({ value }, k, all) => value === all[0].value + k) &&
      [0, 1].includes(cells.readings[i][0]?.value);
    const scatter =
      /^(?:st\.?\s?d(?:ev)?\.?|s\.?d\.?|sigma|σ|standard deviation|std\s?error|uncertainty)$|(?:[\s_]|^)(?:st\.?\s?dev|std|standard deviation|sigma)\.?(?:[\s_(]|$)/i.test(
        label.slice(0, 100),
      );
    if (counts || scatter) left.push(label || `column ${i + 2}`);
    else keep.push(i);
  });
  if (left.length === 0 || keep.length === 0) return cells;
  notes.push(`no readings, but a count or a spread, and left out: ${left.slice(0, 5).join(", ")}`);
  return {
    ...cells,
    labels: keep.map((i) => cells.labels[i]),
    readings: keep.map((i) => cells.readings[i]),
  };
}

/** The first comment lines, which may say what the numbers are. */
export function commentsOf(text: string): string[] {
  return text
    .split(/\r\n?|\n/)
    .filter((line) => line.trimStart().startsWith("#"))
    .slice(0, 20)
    .map((line) => line.slice(0, 400));
}
