import type { Component } from "../coating/component.ts";
import type { SpectralGrid } from "../colour/grid.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";
import { resampleToGrid } from "../colour/resample.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { type SurfaceConstants, toInternal } from "../optics/interface.ts";
import type { ShelfFile, ShelfRow } from "../tables/shelfFile.ts";
import { SpectrumFileError } from "../tables/spectrumFileError.ts";
import type { Shelf, ShelfComponent, ShelfFilm, ShelfReading } from "./shelf.ts";

/** What the rows of a file became. */
export interface ShelfOfRows {
  readonly shelf: Shelf;
  /** file and row of each reading of the shelf */
  readonly places: readonly { readonly file: ShelfFile; readonly row: ShelfRow }[];
  /** spectrum (on the grid) of each reading, where it has one */
  readonly spectra: readonly (Float64Array | undefined)[];
  readonly thicknessUnit: "µm" | "amount";
  readonly notes: readonly string[];
}

/** Common practice: what a thickness is off by the way it was told, 1σ of its logarithm. */
const usualThicknessError = { dry: 0.05, wet: 0.1, gap: 0.15, amount: 0.1 } as const;
/** A wet film of this gap keeps about half of it (common practice for bar and blade applicators). */
const wetOfGap = 0.5;
/** Doses by balance or syringe (common practice). */
const usualDoseError = 0.03;
/** A film whose thickness was not told: within a factor of three of the others, more or less. */
const unknownThickness = 0.7;
const opaqueFactor = 30;
/** films that may lie one on another */
const mostBelow = 20;

interface Assumptions {
  readonly known: readonly Component[];
  readonly surface: Readonly<SurfaceConstants>;
  readonly grid: SpectralGrid;
  readonly weightsOf: (light: string) => TristimulusWeights;
}

/**
 * The shelf of a file of films, and of a file of films to be predicted.
 *
 * @throws SpectrumFileError that names file and row: an unknown ground, a film below that is not there, one label for two
 * films, µm and laid amounts together
 */
export function shelfFromRows(files: readonly ShelfFile[], assumptions: Assumptions): ShelfOfRows {
  const { known, surface, grid } = assumptions;
  const notes: string[] = [];
  const { names, components, solids, densities } = componentsOf(files, known, grid, notes);
  const all = files.flatMap((file, which) => file.rows.map((row) => ({ file, row, which })));
  const bases = new Set(
    all.flatMap(({ row }) =>
      typeof row.thickness === "object" && !row.bare ? [row.thickness.basis === "amount"] : [],
    ),
  );
  if (bases.size > 1) {
    throw new SpectrumFileError(
      files[0].file,
      "some thicknesses are in µm and some are laid amounts",
      "Use one unit for all films",
    );
  }
  const thicknessUnit = bases.has(true) ? "amount" : "µm";
  const { grounds, groundNames } = groundsOf(all, surface, grid);
  const films: ShelfFilm[] = [];
  const filmOf = new Map<string, { film: number; row: ShelfRow; which: number }>();
  const middle = middleThickness(all.map(({ row }) => row));
  const laid = all.filter(({ row }) => !row.bare);
  for (const { file, row, which } of laid) {
    const plain = `${which} ${row.label.toLowerCase()}`;
    const before = filmOf.get(plain);
    if (before) {
      refuseOther(before.row, row, file.file);
      continue;
    }
    filmOf.set(plain, { film: films.length, row, which });
    films.push(filmFrom(row, file, { names, solids, densities, middle }));
  }
  const find = (label: string, which: number) =>
    filmOf.get(`${which} ${label.toLowerCase()}`) ?? filmOf.get(`0 ${label.toLowerCase()}`);
  const readings: ShelfReading[] = [];
  const spectra: (Float64Array | undefined)[] = [];
  for (const { file, row, which } of laid) {
    const { stack, lowest: at } = stackOf(row, which, file.file, find);
    const name = at.ground.trim().toLowerCase();
    let ground = groundNames.get(name);
    if (ground === undefined && row.thickness === "opaque") {
      ground = grounds.length;
      groundNames.set(name, ground);
      grounds.push(new Float64Array(grid.length).fill(0.5)); // what lies under an opaque film does not show
    }
    if (ground === undefined) {
      throw new SpectrumFileError(
        file.file,
        `the ground "${at.ground}" is not known; known are ${[...groundNames.keys()].join(", ") || "none"}`,
        'Add a row labelled "bare" with the reading of the uncoated ground',
        row.row,
        "ground",
      );
    }
    const spectrum = row.values.length > 0 ? onGrid(row, file.file, grid, notes) : undefined;
    spectra.push(spectrum);
    readings.push({
      films: stack,
      ground,
      specular: row.specular,
      seen: which > 0 ? undefined : seenOf(row, spectrum, assumptions),
      setAside: row.setAside !== "",
    });
  }
  const shelf = { wavelengths: wavelengthsOf(grid), components, grounds, films, readings, surface };
  return {
    shelf,
    places: laid,
    spectra,
    thicknessUnit,
    notes: [...new Set([...files.flatMap((file) => file.notes), ...notes])],
  };
}

/** The components of all files, by name; those that are not known are to be found. */
function componentsOf(
  files: readonly ShelfFile[],
  known: readonly Component[],
  grid: SpectralGrid,
  notes: string[],
) {
  const names = new Map<string, number>();
  const components: ShelfComponent[] = [];
  const solids: number[] = [];
  const densities: number[] = [];
  for (const name of files.flatMap(({ components }) => components)) {
    if (names.has(name.toLowerCase())) continue;
    names.set(name.toLowerCase(), components.length);
    const found = known.find(({ id, name: called }) =>
      [id, called].some((one) => one.toLowerCase() === name.toLowerCase()),
    );
    solids.push(found?.volumeSolids ?? 1);
    densities.push(found?.density ?? 1);
    components.push(found ? { name, known: knownOf(found, grid) } : { name });
  }
  if (solids.some((one) => one !== 1) && solids.some((one) => one === 1)) {
    const stated = solids.filter((one) => one !== 1);
    const middle = stated.reduce((sum, one) => sum + one, 0) / stated.length;
    solids.forEach((one, k) => {
      if (one === 1) solids[k] = middle;
    });
    notes.push(
      "volume solids of the pastes to be found are not stated: taken as the mean of the known components",
    );
  } else if (solids.every((one) => one === 1)) notes.push("volume solids are not stated: taken as equal");
  return { names, components, solids, densities };
}

/** The films that lie one on another below a row and in it, and the row of the lowest one. @throws SpectrumFileError */
function stackOf(
  row: ShelfRow,
  which: number,
  file: string,
  find: (label: string, which: number) => { film: number; row: ShelfRow } | undefined,
): { stack: number[]; lowest: ShelfRow } {
  const stack: number[] = [];
  let at: ShelfRow = row;
  for (let depth = 0; depth <= mostBelow; depth++) {
    const place = find(at.label, which)!;
    if (depth === mostBelow || stack.includes(place.film)) {
      throw new SpectrumFileError(
        file,
        `"${row.label}" lies over itself, or over ${mostBelow} films or more`,
        "Correct the column over",
        row.row,
        "over",
      );
    }
    stack.unshift(place.film);
    if (at.over === "") break;
    const below = find(at.over, which);
    if (!below) {
      throw new SpectrumFileError(
        file,
        `there is no film "${at.over}"`,
        "Write the label of a film of this file, or leave it empty",
        row.row,
        "over",
      );
    }
    at = below.row;
  }
  return { stack, lowest: at };
}

/** One label is one film. @throws SpectrumFileError where rows of one label differ */
function refuseOther(first: ShelfRow, row: ShelfRow, file: string): void {
  const of = ({ amounts, thickness, coats }: ShelfRow) => JSON.stringify([amounts, thickness, coats]);
  if (of(first) === of(row)) return;
  throw new SpectrumFileError(
    file,
    `"${row.label}" is one film, but amounts, thickness or coats differ from those in row ${first.row}`,
    "Correct one of the rows, or give the films different labels",
    row.row,
    "label",
  );
}

function seenOf(
  row: ShelfRow,
  reflectance: Float64Array | undefined,
  { weightsOf }: Assumptions,
): ShelfReading["seen"] {
  if (reflectance) return { kind: "spectrum", reflectance };
  if (!row.Lab) return undefined;
  return { kind: "Lab", Lab: row.Lab, sigma: row.labError, weights: weightsOf(row.light) };
}

function knownOf({ absorption, scattering }: Component, grid: SpectralGrid): ShelfComponent["known"] {
  const from = Math.round((grid.start - workingGrid.start) / workingGrid.step);
  return {
    absorption: absorption.slice(from, from + grid.length),
    scattering: scattering.slice(from, from + grid.length),
    relativeSigma: 0.05,
  };
}

/** Rows "bare", by the name of the ground; repeats are averaged. */
function groundsOf(
  all: readonly { file: ShelfFile; row: ShelfRow }[],
  { externalReflection: k1, internalReflection: k2 }: SurfaceConstants,
  grid: SpectralGrid,
): { grounds: Float64Array[]; groundNames: Map<string, number> } {
  const groundNames = new Map<string, number>();
  const sums: { total: Float64Array; count: number }[] = [];
  for (const { file, row } of all) {
    if (!row.bare || row.setAside !== "") continue;
    if (row.values.length === 0) {
      throw new SpectrumFileError(
        file.file,
        "the bare ground has no spectrum",
        "Give its reflectance at each wavelength",
        row.row,
      );
    }
    const measured = onGrid(row, file.file, grid, []);
    const name = row.ground.trim().toLowerCase();
    let index = groundNames.get(name);
    if (index === undefined) {
      index = sums.length;
      groundNames.set(name, index);
      sums.push({ total: new Float64Array(grid.length), count: 0 });
    }
    const sum = sums[index];
    sum.count++;
    for (let i = 0; i < grid.length; i++) {
      sum.total[i] += Math.min(Math.max(toInternal(measured[i], k1, k2, row.specular), 0), 1);
    }
  }
  return { grounds: sums.map(({ total, count }) => total.map((value) => value / count)), groundNames };
}

function middleThickness(rows: readonly ShelfRow[]): number {
  const told = rows.flatMap(({ thickness, bare, coats }) =>
    typeof thickness === "object" && !bare
      ? [thickness.value * coats * (thickness.basis === "gap" ? wetOfGap : 1)]
      : [],
  );
  told.sort((a, b) => a - b);
  return told[told.length >> 1] ?? 1;
}

function filmFrom(
  row: ShelfRow,
  file: ShelfFile,
  {
    names,
    solids,
    densities,
    middle,
  }: { names: Map<string, number>; solids: number[]; densities: number[]; middle: number },
): ShelfFilm {
  const poured = row.amounts.flatMap((amount, k) => {
    const component = names.get(file.components[k].toLowerCase()) as number;
    const wet = row.basis === "mass" ? amount / densities[component] : amount;
    const dry = row.basis === "dry volume" ? amount : wet * solids[component];
    return amount > 0 ? [{ component, wet, dry }] : [];
  });
  const dry = poured.reduce((sum, one) => sum + one.dry, 0);
  const wet = poured.reduce((sum, one) => sum + one.wet, 0);
  const told = row.thickness;
  let thickness = middle;
  let sigma = unknownThickness;
  if (told === "opaque") thickness = opaqueFactor * middle;
  else if (told !== "unknown") {
    const solid = told.basis === "wet" || told.basis === "gap" ? dry / wet : 1;
    thickness = told.value * solid * (told.basis === "gap" ? wetOfGap : 1);
    sigma = row.errorPercent === undefined ? usualThicknessError[told.basis] : row.errorPercent / 100;
  }
  thickness *= row.coats;
  return {
    label: row.label,
    parts: poured.map(({ component, dry: one }) => ({ component, amount: (one / dry) * thickness })),
    thicknessSigma: sigma,
    doseSigma: usualDoseError,
    laid: typeof told === "object" && told.basis === "amount",
  };
}

/** A reading on the grid. @throws SpectrumFileError */
function onGrid(row: ShelfRow, file: string, grid: SpectralGrid, notes: string[]): Float64Array {
  try {
    const { values, notes: told } = resampleToGrid(row.wavelengths, row.values, grid);
    notes.push(...told);
    return values;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const wayOut = "Export the whole spectrum, at best 380 to 730 nm by 10 nm";
    throw new SpectrumFileError(file, error.message, wayOut, row.row);
  }
}
