import type { PasteLabel } from "../calibration/compose.ts";
import { type MeasuredDrawdowns, problemFromTable } from "../calibration/fromTable.ts";
import type { CalibrationProblem } from "../calibration/problem.ts";
import type { QuickProblem } from "../calibration/quickProblem.ts";
import type { Component } from "../coating/component.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { smoothestCurve } from "../curves/smoothestCurve.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import {
  groundKey,
  type KeptColour,
  type KeptColours,
  type KeptDrawdowns,
  type KeptReading,
  type KeptTable,
  ownLabels,
} from "./keptTable.ts";

/** What is assumed about paste and surface, and what else the films hold. */
export interface Assumptions {
  readonly paste: PasteLabel;
  readonly surface: SurfaceConstants;
  readonly known: readonly Component[];
}

/** Films that are used and have a reading, under labels that tell them apart. */
function usedFilms<Reading>({ films }: KeptTable<Reading>, without: readonly string[] = []) {
  const labels = ownLabels(films);
  return films.flatMap((film, f) =>
    film.use && film.readings.length > 0 && !without.includes(labels[f])
      ? [{ ...film, label: labels[f] }]
      : [],
  );
}

/** Kept drawdowns as the calibration takes them; films that are left out, or have no reading yet, are passed over. */
function tableOf(kept: KeptDrawdowns, without: readonly string[] = []): MeasuredDrawdowns {
  const measured = ({ ground, specular, reflectance, spread, repeats }: KeptReading) => ({
    ...{ ground, specular, repeats },
    reflectance: Float64Array.from(reflectance),
    spread: Float64Array.from(spread),
  });
  return {
    components: kept.components,
    films: usedFilms(kept, without).map((film) => ({ ...film, readings: film.readings.map(measured) })),
    bare: kept.bare.map(measured),
  };
}

/**
 * The calibration's problem of a kept table.
 *
 * @param noise 1σ of a single reading, in reflectance   @param without labels of films that are passed over
 * @throws RangeError in plain words, as problemFromTable
 */
export function spectralProblem(
  kept: KeptDrawdowns,
  { paste, surface, known }: Assumptions,
  noise: number,
  without: readonly string[],
): CalibrationProblem {
  return problemFromTable(tableOf(kept, without), paste, known, { surface, noise });
}

/**
 * The quick calibration's problem of a kept table. The bare card is near grey, so that the smoothest curve with its Lab
 * stands in for its spectrum; films that are left out or have no reading are passed over.
 *
 * @param labSigma 1σ of each of L*, a*, b*   @param weights light and observer of the readings
 * @throws RangeError in plain words, as problemFromTable; also for laid amounts, which give no K and S per µm
 */
export function quickProblem(
  kept: KeptColours,
  { paste, surface, known }: Assumptions,
  labSigma: number,
  weights: TristimulusWeights,
): QuickProblem {
  const films = usedFilms(kept);
  const laid = films.find(({ thickness }) => thickness.kind === "stated" && thickness.basis === "amount");
  if (laid) {
    throw new RangeError(
      `${laid.label}: a laid amount gives no thickness in µm, and colours alone need one: measure it, or choose "not known"`,
    );
  }
  const standIn = new Float64Array(weights.x.length);
  const curve = ({ ground, specular }: KeptColour, reflectance: Float64Array) => ({
    ...{ ground, specular, reflectance, spread: standIn, repeats: 1 },
  });
  // The films' readings are put in below; here only the grounds, the compositions and the thicknesses are made.
  const { companions, grounds, drawdowns } = problemFromTable(
    {
      components: kept.components,
      films: films.map((film) => ({
        ...film,
        readings: film.readings.map((reading) => curve(reading, standIn)),
      })),
      bare: meanColours(kept.bare).map((reading) =>
        curve(reading, smoothestCurve(reading.Lab, weights).reflectance),
      ),
    },
    paste,
    known,
    { surface, noise: 0.01 },
  );
  return {
    ...{ companions, grounds, surface, labSigma },
    drawdowns: drawdowns.map((drawdown, f) => ({
      ...drawdown,
      readings: drawdown.readings.map(({ ground, specular }, q) => ({
        ...{ ground, specular },
        Lab: Float64Array.from(films[f].readings[q].Lab),
      })),
    })),
  };
}

/** Repeats over one ground in one mode, averaged. */
function meanColours(readings: readonly KeptColour[]): KeptColour[] {
  const groups = new Map<string, KeptColour[]>();
  for (const reading of readings) {
    const key = `${groundKey(reading.ground)} ${reading.specular}`;
    groups.set(key, [...(groups.get(key) ?? []), reading]);
  }
  return [...groups.values()].map((group) => {
    const mean = (k: 0 | 1 | 2) => group.reduce((sum, { Lab }) => sum + Lab[k] / group.length, 0);
    return { ...group[0], Lab: [mean(0), mean(1), mean(2)] };
  });
}
