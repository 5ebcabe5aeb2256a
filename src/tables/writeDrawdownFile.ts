import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import { isBareCard } from "./bareCard.ts";
import type { FilmThickness } from "./drawdownFilms.ts";
import type { DrawdownSettings } from "./drawdownHeader.ts";

/** A reading to be written: a curve on the working grid, or a colour. */
type WrittenReading = {
  readonly ground: string;
  readonly specular: "included" | "excluded";
} & (
  | {
      readonly reflectance: ArrayLike<number>;
      readonly spread: ArrayLike<number>;
      readonly repeats: number;
      /** the repeats themselves; where they are not known, stand-ins of the same mean and spread are written */
      readonly singles?: readonly ArrayLike<number>[];
    }
  | { readonly Lab: ArrayLike<number> }
);

/** Drawdowns to be written: all readings curves, or all colours. */
export interface WrittenDrawdowns {
  readonly settings: DrawdownSettings;
  readonly components: readonly string[];
  readonly films: readonly {
    readonly label: string;
    readonly basis: string;
    /** paste first */
    readonly amounts: readonly number[];
    readonly thickness: FilmThickness;
    readonly readings: readonly WrittenReading[];
  }[];
  readonly bare: readonly WrittenReading[];
}

const grid = wavelengthsOf(workingGrid);
const thicknessColumns = { dry: "dry_um", wet: "wet_um", gap: "gap_um", amount: "amount" } as const;
type ThicknessBasis = keyof typeof thicknessColumns;

/**
 * CSV text of drawdowns in the layout of drawdownFile.ts, or of drawdownColours.ts where the readings are colours. What
 * is written is read back the same.
 *
 * @param comments lines that say where the figures come from
 * @throws RangeError in plain words for what the layout has no place for: a film without a name of its own, one called
 * "bare", µm beside laid amounts, a film in which nothing was poured, curves beside colours
 */
export function writeDrawdownFile(drawdowns: WrittenDrawdowns, comments: readonly string[] = []): string {
  const { settings, components, films, bare } = drawdowns;
  checkFilms(films);
  const readings = [...bare, ...films.flatMap((film) => film.readings)];
  const colours = readings.some((reading) => "Lab" in reading);
  if (colours && readings.some((reading) => !("Lab" in reading))) {
    throw new RangeError("some readings are curves and some are colours: write them one by one");
  }
  const bases = new Set(
    films.flatMap(({ thickness }): ThicknessBasis[] =>
      thickness.kind === "stated" ? [thickness.basis] : thickness.kind === "opaque" ? ["dry"] : [],
    ),
  );
  if (bases.has("amount") && bases.size > 1) {
    // An opaque film may stand beside laid amounts; it then takes their column.
    if (films.some(({ thickness }) => thickness.kind === "stated" && thickness.basis !== "amount")) {
      throw new RangeError(
        "some thicknesses are in µm and some are laid amounts: use one unit for all films",
      );
    }
    bases.delete("dry");
  }
  const order = (Object.keys(thicknessColumns) as ThicknessBasis[]).filter((basis) => bases.has(basis));
  const withError = films.some(({ thickness }) => thickness.kind === "stated" && thickness.errorPercent);
  const amountNames = ["paste", ...components].map((name) => `amount of ${oneLine(name)}`);
  // A row whose first field starts with # would be a comment.
  const hash = films.some(({ label }) => oneLine(label).startsWith("#"));
  const start = hash ? ["specular", "label", "ground"] : ["label", "ground", "specular"];
  const header = [
    ...start,
    "basis",
    ...amountNames,
    ...order.map((basis) => thicknessColumns[basis]),
    ...(withError ? ["error_percent"] : []),
    ...(colours ? ["L*", "a*", "b*"] : Array.from(grid, String)),
  ];
  const standIns: string[] = [];
  const rowsOf = (label: string, middle: readonly string[], reading: WrittenReading): string[] => {
    const { curves, made } = valuesOf(reading);
    if (made) standIns.push(`${label} over ${oneLine(reading.ground)}`);
    const { specular } = reading;
    const name = hash ? [specular, label, reading.ground] : [label, reading.ground, specular];
    return curves.map((values) => [...name.map(oneLine), ...middle, ...values].map(quoted).join(","));
  };
  const nothing = header.slice(3, header.length - (colours ? 3 : grid.length)).map(() => "");
  const body = [
    ...bare.flatMap((reading) => rowsOf("bare", nothing, reading)),
    ...films.flatMap(({ label, basis, amounts, thickness, readings: own }) => {
      const middle = [
        basis,
        ...amountNames.map((_, j) => numberText(amounts[j] ?? 0)),
        ...order.map((column, k) => thicknessText(thickness, column, k === 0)),
        ...(withError
          ? [thickness.kind === "stated" && thickness.errorPercent ? numberText(thickness.errorPercent) : ""]
          : []),
      ];
      return own.flatMap((reading) => rowsOf(oneLine(label), middle, reading));
    }),
  ];
  const said = [
    ...comments,
    ...(standIns.length > 0
      ? [`of ${standIns.join("; ")} only mean and spread were known: the rows have the same mean and spread`]
      : []),
  ];
  return [
    ...said.map((line) => `# ${oneLine(line)}`),
    ...settingLines(settings),
    header.map(quoted).join(","),
    ...body,
    "",
  ].join("\n");
}

function checkFilms(films: WrittenDrawdowns["films"]): void {
  const seen = new Set<string>();
  for (const { label, amounts } of films) {
    const name = oneLine(label);
    if (name === "") throw new RangeError("a film has no label: name it");
    if (isBareCard(name))
      throw new RangeError(`a film is called "${name}", which means the uncoated card: name it differently`);
    if (seen.has(name)) throw new RangeError(`two films are called "${name}": give them different labels`);
    seen.add(name);
    if (!amounts.some((amount) => amount > 0))
      throw new RangeError(`${name}: nothing was poured: all amounts are 0`);
  }
}

function settingLines({ paste, density, volumeSolids, colourIndex }: DrawdownSettings): string[] {
  const line = (key: string, value: string | undefined) => (value ? [`# ${key}: ${value}`] : []);
  return [
    ...line("paste", paste && oneLine(paste)),
    ...line("paste density", density === undefined ? undefined : numberText(density)),
    ...line("paste volume solids", volumeSolids === undefined ? undefined : numberText(volumeSolids)),
    ...line("colour index", colourIndex && oneLine(colourIndex)),
  ];
}

function thicknessText(thickness: FilmThickness, column: ThicknessBasis, first: boolean): string {
  if (thickness.kind === "opaque") return first ? "opaque" : "";
  return thickness.kind === "stated" && thickness.basis === column ? numberText(thickness.value) : "";
}

/** The values of a reading, a list for each row. */
function valuesOf(reading: WrittenReading): { curves: string[][]; made: boolean } {
  if ("Lab" in reading) return { curves: [Array.from(reading.Lab, numberText)], made: false };
  const { reflectance, spread, repeats, singles } = reading;
  if (singles && singles.length === repeats && repeats > 1) {
    return { curves: singles.map((values) => Array.from(values, numberText)), made: false };
  }
  const made = repeats > 1;
  // Two of them as far apart as gives the standard deviation, the others on the mean: (n − 1)·s² = 2·d².
  const apart = Math.sqrt((repeats - 1) / 2);
  const curves = Array.from({ length: repeats }, (_, k) => {
    const sign = !made || k > 1 ? 0 : k === 0 ? 1 : -1;
    return Array.from(reflectance, (value, i) => numberText(value + sign * apart * spread[i]));
  });
  return { curves, made };
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, " ").replaceAll("\0", "").trim();
}

function numberText(value: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`value = ${value}: must be a finite number`);
  return Object.is(value, -0) ? "0" : String(value);
}

function quoted(field: string): string {
  return /[",;#\t]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
