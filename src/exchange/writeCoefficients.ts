import { wavelengths, workingGrid } from "../colour/grid.ts";
import type { ExportHeading } from "./writeCgats.ts";
import { numberText } from "./writeSpectrumCsv.ts";

/** K and S of a paint's own dry film, 1/µm, on the working grid, with their uncertainty (1σ) where known. */
export interface Coefficients {
  readonly name: string;
  readonly absorption: ArrayLike<number>;
  readonly scattering: ArrayLike<number>;
  readonly absorptionSigma?: ArrayLike<number>;
  readonly scatteringSigma?: ArrayLike<number>;
}

const unit = "K (absorption) and S (scattering) in 1/µm of dry film";
const nm = Array.from(wavelengths(workingGrid));

function columnsOf(component: Coefficients): (readonly [string, ArrayLike<number>])[] {
  const all = [
    ["K", component.absorption],
    ["S", component.scattering],
    ["K_sigma", component.absorptionSigma],
    ["S_sigma", component.scatteringSigma],
  ] as const;
  return all.filter((column): column is readonly [(typeof column)[0], ArrayLike<number>] => !!column[1]);
}

/**
 * CSV text of K and S: comment lines, then `wavelength_nm`, K and S. One component has the columns `K` and `S`, as the
 * command `film` reads them; several have their names behind.
 *
 * @throws RangeError for no components or values not finite
 */
export function writeCoefficientCsv(
  components: readonly Coefficients[],
  comments: readonly string[] = [],
): string {
  if (components.length === 0) throw new RangeError("no components: at least one is needed");
  const alone = components.length === 1;
  const columns = components.flatMap((component) =>
    columnsOf(component).map(([name, values]) => ({
      heading: alone ? name : quotedField(`${name} ${component.name}`),
      values,
    })),
  );
  return [
    ...[...comments, unit].flatMap((comment) => comment.split(/\r\n?|\n/)).map((line) => `# ${line}`),
    ["wavelength_nm", ...columns.map(({ heading }) => heading)].join(","),
    ...nm.map((at, i) => [at, ...columns.map(({ values }) => numberText(values[i]))].join(",")),
    "",
  ].join("\n");
}

/**
 * CGATS.17 text of K and S with fields of its own, K_380 … and S_380 …, declared by keywords: they are no reflectances,
 * and a reader of reflectances must not take them for some.
 *
 * @throws RangeError for no components or values not finite
 * Source: CGATS.17 (ANSI CGATS.17-2009, ISO 28178; from memory): fields beyond the standard ones are declared by KEYWORD.
 */
export function writeCoefficientCgats(components: readonly Coefficients[], heading: ExportHeading): string {
  if (components.length === 0) throw new RangeError("no components: at least one is needed");
  const fields = [...nm.map((at) => `K_${at}`), ...nm.map((at) => `S_${at}`)];
  const rows = components.map(({ name, absorption, scattering }, i) =>
    [
      i + 1,
      quotedWord(name),
      ...nm.map((_, k) => numberText(absorption[k])),
      ...nm.map((_, k) => numberText(scattering[k])),
    ].join("\t"),
  );
  return [
    "CGATS.17",
    `ORIGINATOR ${quotedWord(heading.originator)}`,
    `FILE_DESCRIPTOR ${quotedWord(heading.description)}`,
    `CREATED ${quotedWord(heading.created)}`,
    'KEYWORD "QUANTITY"',
    `QUANTITY ${quotedWord(unit)}`,
    ...fields.map((field) => `KEYWORD "${field}"`),
    `NUMBER_OF_FIELDS ${fields.length + 2}`,
    "BEGIN_DATA_FORMAT",
    ["SAMPLE_ID", "SAMPLE_NAME", ...fields].join("\t"),
    "END_DATA_FORMAT",
    `NUMBER_OF_SETS ${rows.length}`,
    "BEGIN_DATA",
    ...rows,
    "END_DATA",
    "",
  ].join("\n");
}

function quotedField(text: string): string {
  return `"${text.replace(/\s+/g, " ").replaceAll('"', '""')}"`;
}

function quotedWord(text: string): string {
  return `"${text.replace(/\s+/g, " ").replaceAll('"', '""').trim()}"`;
}
