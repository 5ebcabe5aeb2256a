import type { SpectralSample } from "../../src/exchange/colourSample.ts";
import { writeCgats } from "../../src/exchange/writeCgats.ts";
import { writeCxf } from "../../src/exchange/writeCxf.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { heading } from "./fixtures.ts";

/** A good file, what was meant by it, and how it can be written again with other numbers. */
export interface MeantFile {
  readonly text: string;
  readonly wavelengths: readonly number[];
  readonly samples: readonly { readonly label: string; readonly values: readonly number[] }[];
  readonly random: () => number;
  readonly write: (change?: Change) => string;
}

/** What goes into a file otherwise than it should. */
interface Change {
  readonly values?: (value: number, sample: number, place: number) => number;
  readonly nm?: (nm: number) => number;
  readonly corner?: string;
  readonly comment?: string;
  readonly names?: (label: string) => string;
  /** a column more, its heading and its cells */
  readonly column?: { readonly name: string; readonly cell: (place: number) => number };
  readonly rows?: (rows: string[][]) => string[][];
}

/** A smooth invented paint: a floor, a step or a hump, a ceiling. */
function paint(random: () => number): (nm: number) => number {
  const floor = 0.03 + 0.1 * random();
  const height = (0.9 - floor) * random();
  const centre = 430 + 220 * random();
  const width = 15 + 40 * random();
  const kind = Math.floor(3 * random());
  return (nm) => {
    const step = 1 / (1 + Math.exp(-(nm - centre) / width));
    const hump = Math.exp(-(((nm - centre) / (2 * width)) ** 2));
    return floor + height * [step, 1 - step, hump][kind];
  };
}

/** File number `seed`: CSV down or across, CGATS or CxF3, in fractions or (CSV) per cent, one to four paints. */
export function meantFile(seed: number): MeantFile {
  const random = seededRandom(seed + 1);
  const [from, to] = random() < 0.5 ? [400, 700] : [380, 730];
  const wavelengths = Array.from({ length: (to - from) / 10 + 1 }, (_, i) => from + 10 * i);
  const samples = Array.from({ length: 1 + Math.floor(4 * random()) }, (_, k) => {
    const curve = paint(random);
    return { label: `panel ${"abcd"[k]}`, values: wavelengths.map((nm) => Number(curve(nm).toFixed(4))) };
  });
  const form = ["down", "across", "CGATS", "CxF3"][Math.floor(4 * random())];
  const scale = (form === "down" || form === "across") && random() < 0.5 ? 100 : 1;
  const write = (change: Change = {}): string => {
    const changed = samples.map(({ label, values }, k) => ({
      label: change.names?.(label) ?? label,
      values: values.map((value, i) =>
        Number(
          ((change.values?.(value, k, i) ?? value) * scale).toFixed(
            change.values ? 6 : scale === 100 ? 2 : 4,
          ),
        ),
      ),
    }));
    // CxF has even steps in nm and no place for another unit.
    const unit = form === "CxF3" && change.corner !== undefined ? undefined : change.nm;
    const nm = wavelengths.map((value) => unit?.(value) ?? value);
    if (form === "CGATS" || form === "CxF3") {
      const spectral = changed.map(
        (sample): SpectralSample => ({ kind: "spectrum", wavelengths: nm, ...sample }),
      );
      const text = form === "CGATS" ? writeCgats(spectral, heading) : writeCxf(spectral, heading);
      if (!change.comment) return text;
      return form === "CGATS"
        ? text.replace("BEGIN_DATA_FORMAT", `MEASUREMENT_SOURCE "${change.comment}"\nBEGIN_DATA_FORMAT`)
        : text.replace(/<(\w+:)?MeasurementSpec>/, (start, prefix) => {
            const name = `${prefix ?? ""}MeasurementType`;
            return `${start}<${name}>Spectrum_Transmittance</${name}>`;
          });
    }
    const columns = change.column ? [change.column] : [];
    let rows = [
      [change.corner ?? "nm", ...changed.map(({ label }) => label), ...columns.map(({ name }) => name)],
      ...nm.map((value, i) => [
        String(value),
        ...changed.map(({ values }) => String(values[i])),
        ...columns.map(({ cell }) => String(cell(i))),
      ]),
    ];
    if (change.rows) rows = change.rows(rows);
    if (form === "across") rows = rows[0].map((_, i) => rows.map((row) => row[i]));
    const comment = change.comment ? `# ${change.comment}\n` : "";
    return `${comment}${rows.map((row) => row.join(",")).join("\n")}\n`;
  };
  return { text: write(), wavelengths, samples, random, write };
}

const within = (random: () => number, length: number): number => Math.floor(random() * length);
/** One reading somewhere, changed. */
const oneCell = ({ random, samples, write, wavelengths }: MeantFile, change: (value: number) => number) => {
  const sample = within(random, samples.length);
  const place = within(random, wavelengths.length);
  return write({ values: (value, k, i) => (k === sample && i === place ? change(value) : value) });
};
const oneSample = ({ random, samples, write }: MeantFile, factor: number): string => {
  const sample = within(random, samples.length);
  return write({ values: (value, k) => (k === sample ? factor * value : value) });
};
/** Two rows of readings, not the heading. */
const twoRows = ({ random }: MeantFile, rows: string[][]): [number, number] => {
  const at = 1 + within(random, rows.length - 2);
  return [at, at + 1];
};
const KS = (value: number): number => (1 - value) ** 2 / (2 * value);

/** What persons do to files: scale, kind, column, unit, row. */
export const mistakes = {
  "decimal point lost": (file: MeantFile) => oneCell(file, (value) => 100 * value),
  "decimal point moved right": (file: MeantFile) => oneCell(file, (value) => 10 * value),
  "decimal point moved left": (file: MeantFile) => oneCell(file, (value) => value / 10),
  "one sample in the other scale, larger": (file: MeantFile) => oneSample(file, 100),
  "one sample in the other scale, smaller": (file: MeantFile) => oneSample(file, 0.01),
  "all in the other scale, larger": ({ write }: MeantFile) => write({ values: (value) => 100 * value }),
  "all in the other scale, smaller": ({ write }: MeantFile) => write({ values: (value) => 0.01 * value }),
  "transmission by the comment": ({ write }: MeantFile) =>
    write({ comment: "transmittance of films", values: (value) => Math.sqrt(value) }),
  "K/S by the headings": ({ write }: MeantFile) =>
    write({ names: (label) => `K/S ${label}`, values: (value) => KS(value) }),
  "radiance by the headings": ({ write }: MeantFile) =>
    write({ names: (label) => `${label} mW/m²/nm`, values: (value) => 0.3 * value }),
  "a column that counts": ({ write }: MeantFile) => write({ column: { name: "row", cell: (i) => i + 1 } }),
  "a column of spreads": ({ write }: MeantFile) =>
    write({ column: { name: "std dev", cell: (i) => 0.001 * (1 + (i % 3)) } }),
  "wavelengths in µm": ({ write }: MeantFile) => write({ nm: (nm) => nm / 1000 }),
  "wavelengths in Å": ({ write }: MeantFile) => write({ nm: (nm) => 10 * nm }),
  "wavelengths as numbers of waves": ({ write }: MeantFile) =>
    write({ corner: "cm-1", nm: (nm) => Math.round(1e7 / nm) }),
  "two rows exchanged": (file: MeantFile) =>
    file.write({
      rows: (rows) => {
        const [a, b] = twoRows(file, rows);
        return rows.map((row, i) => (i === a ? rows[b] : i === b ? rows[a] : row));
      },
    }),
  "the readings of two rows exchanged": (file: MeantFile) =>
    file.write({
      rows: (rows) => {
        const [a, b] = twoRows(file, rows);
        return rows.map((row, i) => (i === a || i === b ? [row[0], ...rows[i === a ? b : a].slice(1)] : row));
      },
    }),
  "a row twice": (file: MeantFile) =>
    file.write({ rows: (rows) => rows.flatMap((row, i) => (i === 5 ? [row, row] : [row])) }),
  "a row less": (file: MeantFile) => file.write({ rows: (rows) => rows.filter((_, i) => i !== 7) }),
} as const;
