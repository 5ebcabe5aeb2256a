import type { Component } from "../coating/component.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { type SpectralGrid, spectralGrid, workingGrid } from "../colour/grid.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { tristimulusWeights } from "../colour/weights.ts";
import { quantiles } from "../fit/quantiles.ts";
import { checkSurface, usualSurface } from "../optics/interface.ts";
import { type CalibratedShelf, calibrateShelf, usualShelfOptions } from "../shelf/calibrateShelf.ts";
import { mixedUp } from "../shelf/mixedUp.ts";
import { rowLight } from "../shelf/rowLight.ts";
import { type ShelfOfRows, shelfFromRows } from "../shelf/shelfFromRows.ts";
import { predictReading } from "../shelf/shelfPrediction.ts";
import { meanWithoutItself } from "../shelf/withoutItself.ts";
import { illuminantTable } from "../tables/illuminants.ts";
import { observerNames, observerTable } from "../tables/observers.ts";
import { readShelfFile } from "../tables/shelfFile.ts";
import { readComponents } from "./calibrateCommand.ts";
import { choiceOption, numberOption, readOptions } from "./options.ts";
import {
  type Command,
  exitCode,
  InputError,
  printJson,
  readText,
  type Surroundings,
} from "./surroundings.ts";

const help = `K and S of a whole shelf from every film that was measured, and what other films will look like.

  npm run -s bole -- shelf FILMS.csv [--predict FILMS.csv] [options]

  FILMS.csv            one row for each reading: label, ground, specular, basis, amount of NAME …, dry_um (or wet_um,
                       gap_um, amount), error_percent, then one column for each wavelength in nm, or L*, a*, b* (with
                       lab_error). The label "bare" is the uncoated ground. Optional: over (label of the film below),
                       coats, date, batch ("NAME: bottle; …": bottles may differ in strength), habit (an instrument
                       or hand, which may read all a little high or low), light ("D65", "D65 1931-2"), set_aside.
                       Up to 40 components and 5000 rows; a minute for 13 and 150 at most, some ten for the most.
  --predict FILE       films to predict, in the same layout; readings may be missing. Grounds match by name
  --components FILE    known components as JSON, a list as kept in notebooks; all others are found from the films
  --k1 NUMBER          share of outside light that the surface reflects (${usualSurface.externalReflection})
  --k2 NUMBER          share of inside light that the surface sends back in (${usualSurface.internalReflection})
  --seed NUMBER        seed of the draws (1)
  --observer NAME      1931-2 or 1964-10 (default), for colours
  --illuminant NAME    for colours (D65)
  --range FROM-TO      wavelengths to compute with, nm, within 380-730 in steps of 10 and at least 400-700 (380-730)

K and S are held smooth along the spectrum; answers are means over draws from everything that the films leave open.
Prints JSON: components (absorption, scattering, low and high: 90 % bands), films (used, residual and prediction from
the others, as ΔE00; contradicts, and what was likely mixed up), bottles (strength beside the mean), predictions
(reflectance, Lab, band90: the ΔE00 within which nine of ten readings should lie, deltaE00: distance of the row's own
reading). With "amount", K and S are for one unit of it. What takes long says on the error output how far it is.
Exit code 0; 1 when the draws cannot be relied on; 2 when a file or an option cannot be used.`;

/** bole shelf: K and S of all pastes together, and predictions. */
export const shelfCommand: Command = {
  name: "shelf",
  summary: "K and S of all pastes together from every film, and predictions",
  help,
  async run(argv, surroundings) {
    const { values, positionals } = readOptions(argv, {
      predict: { type: "string" },
      components: { type: "string" },
      k1: { type: "string" },
      k2: { type: "string" },
      seed: { type: "string" },
      observer: { type: "string" },
      illuminant: { type: "string" },
      range: { type: "string" },
    });
    if (positionals.length !== 1) {
      throw new InputError(`Give one file of films; ${positionals.length} were given.`);
    }
    const number = (name: "k1" | "k2" | "seed", usual: number, most: number): number => {
      const text = values[name];
      return text === undefined ? usual : numberOption(`--${name}`, text, 0, most);
    };
    const surface = {
      externalReflection: number("k1", usualSurface.externalReflection, 0.99),
      internalReflection: number("k2", usualSurface.internalReflection, 0.95),
    };
    checkSurface(surface.externalReflection, surface.internalReflection);
    const seed = number("seed", 1, 2 ** 32 - 1);
    const observer = choiceOption("--observer", values.observer ?? "1964-10", observerNames);
    const grid = rangeOf(values.range);
    const weightsOf = (light: string, by: (typeof observerNames)[number] = observer) =>
      tristimulusWeights(observerTable(by), illuminantTable(light), grid);
    const illuminant = values.illuminant ?? "D65";
    const weights = weightsOf(illuminant);
    const known: Component[] =
      values.components === undefined ? [] : await readComponents(surroundings, values.components);
    const paths = [positionals[0], ...(values.predict === undefined ? [] : [values.predict])];
    const files = await readFiles(surroundings, paths);
    const told = shelfFromRows(files, {
      known,
      surface,
      grid,
      weightsOf: (light) => {
        const { illuminant: own = illuminant, observer: by } = rowLight(light);
        return weightsOf(own, by);
      },
    });
    if (!told.shelf.readings.some(({ seen, setAside }) => seen && !setAside)) {
      throw new InputError(`${paths[0]}: no film has a reading. Fill in spectra, or L*, a* and b*.`);
    }
    const result = calibrateShelf(told.shelf, { ...usualShelfOptions, seed }, progressTo(surroundings));
    printJson(surroundings, report(told, result, weights, seed));
    return Math.min(...result.taken) > 0.3 ? exitCode.ok : exitCode.failed;
  },
};

/** What is long under way says how far it is. */
const usualWait = 10_000;

function progressTo({ complain }: Surroundings): (share: number, text?: string) => void {
  let next = performance.now() + usualWait;
  return (share, text) => {
    if (performance.now() < next) return;
    next = performance.now() + usualWait;
    complain(`${Math.round(100 * share)} %${text ? `, ${text}` : ""}`);
  };
}

/** A film further from its prediction than this many bands contradicts the others. */
const contradiction = 1.5;

async function readFiles(surroundings: Surroundings, paths: readonly string[]) {
  const files = [];
  for (const path of paths) files.push(readShelfFile(await readText(surroundings, path), path));
  return files;
}

/** "400-730" as a grid. @throws InputError */
function rangeOf(text: string | undefined): SpectralGrid {
  if (text === undefined) return workingGrid;
  const [from, to, more] = text.split("-").map((part) => (part.trim() === "" ? Number.NaN : Number(part)));
  const fits =
    [from, to].every((nm) => nm % 10 === 0) && from >= 380 && from <= 400 && to >= 700 && to <= 730;
  if (!fits || more !== undefined) {
    throw new InputError(
      `--range is "${text}", but has to be two wavelengths in steps of 10 nm, such as 400-730: from 380 to 400, to 700 to 730.`,
    );
  }
  return spectralGrid(from, to, 10);
}

function report(told: ShelfOfRows, result: CalibratedShelf, weights: TristimulusWeights, seed: number) {
  const { shelf, places, spectra, thicknessUnit, notes } = told;
  const { wavelengths, readings } = shelf;
  const { draws } = result;
  const colourOf = (R: Float64Array) => reflectanceToLab(R, weights, new Float64Array(3));
  const toPredict = places.length > 0 ? places.findIndex(({ file }) => file !== places[0].file) : -1;
  const films = toPredict < 0 ? places.length : toPredict;
  const measuredAt = (r: number): Float64Array | undefined => {
    const spectrum = spectra[r];
    if (spectrum) return colourOf(spectrum);
    const { Lab, light } = places[r].row;
    const { illuminant = weights.illuminant, observer = weights.observer } = rowLight(light);
    const same = illuminant === weights.illuminant && observer === weights.observer;
    return Lab && same ? Float64Array.from(Lab) : undefined;
  };
  return {
    unit: thicknessUnit === "µm" ? "1/µm of dry film" : "1/unit of laid amount",
    observer: weights.observer,
    illuminant: weights.illuminant,
    components: shelf.components.map(({ name }, c) =>
      curvesOf(name, c, shelf.components.length, wavelengths, result),
    ),
    films: places.slice(0, films).map(({ row }, r) => {
      const { Lab, band90 } = predictReading(draws, r, readings.length, wavelengths, weights, seed);
      const measured = measuredAt(r);
      const spectrum = spectra[r];
      const seen = spectrum ? { kind: "spectrum" as const, reflectance: spectrum } : readings[r].seen;
      const others = seen && colourOf(meanWithoutItself(draws, r, readings.length, seen));
      const off = measured && others ? deltaE2000(measured, others) : 0;
      const contradicts = measured !== undefined && off > contradiction * band90;
      return {
        row: row.row,
        label: row.label,
        used: row.setAside === "" && readings[r].seen !== undefined,
        ...(row.setAside === "" ? {} : { setAside: row.setAside }),
        residual: measured && deltaE2000(measured, Lab),
        fromOthers: measured && others && { Lab: others, deltaE00: off },
        band90,
        ...(contradicts ? { contradicts: true, ...mixedUp(shelf, result, r, measured, weights) } : {}),
      };
    }),
    ...(told.bottles.length > 0 ? { bottles: strengthsOf(told, result) } : {}),
    predictions: places.slice(films).map(({ row }, k) => {
      const r = films + k;
      const { reflectance, Lab, band90 } = predictReading(
        draws,
        r,
        readings.length,
        wavelengths,
        weights,
        seed,
      );
      const measured = measuredAt(r);
      return {
        row: row.row,
        label: row.label,
        ground: row.ground,
        reflectance,
        Lab,
        band90,
        deltaE00: measured && deltaE2000(measured, Lab),
      };
    }),
    pathsTaken: result.taken,
    notes,
  };
}

/** Strength of each bottle beside the mean of its paste, where several were in use. */
function strengthsOf({ bottles, shelf }: ShelfOfRows, { draws }: CalibratedShelf) {
  return bottles.map(({ component, name }, b) => {
    const logs = Float64Array.from({ length: draws.count }, (_, d) => draws.bottles[d * bottles.length + b]);
    logs.sort();
    const [low, middle, high] = quantiles(logs, [0.05, 0.5, 0.95]).map(Math.exp);
    return { component: shelf.components[component].name, batch: name, strength: middle, low, high };
  });
}

function curvesOf(
  name: string,
  component: number,
  components: number,
  wavelengths: Float64Array,
  result: CalibratedShelf,
) {
  const points = wavelengths.length;
  const { count, absorption, scattering } = result.draws;
  const bands = (values: Float64Array) => {
    const low = new Float64Array(points);
    const high = new Float64Array(points);
    const sorted = new Float64Array(count);
    for (let i = 0; i < points; i++) {
      for (let d = 0; d < count; d++) sorted[d] = values[(d * components + component) * points + i];
      sorted.sort();
      [low[i], high[i]] = quantiles(sorted, [0.05, 0.95]);
    }
    return { low, high };
  };
  const K = bands(absorption);
  const S = bands(scattering);
  const part = (values: Float64Array) => values.subarray(component * points, (component + 1) * points);
  return {
    name,
    wavelengths,
    absorption: part(result.absorption),
    scattering: part(result.scattering),
    low: { absorption: K.low, scattering: S.low },
    high: { absorption: K.high, scattering: S.high },
  };
}
