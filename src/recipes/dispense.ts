import { aboveZero, atLeastZero, each, ofLength, wholeNumber } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { sumOf } from "../fit/sumOf.ts";
import { plural } from "../words/plural.ts";
import { bestRounding } from "./bestRounding.ts";
import { variablesOf } from "./depths.ts";
import { type MatchSetting, prepareMatch } from "./fitAmounts.ts";

/** How one component is measured out. */
export type DoseUnit =
  | { readonly kind: "grams" /** Step of the balance, g. */; readonly step: number }
  | { readonly kind: "drops"; readonly dropsPerMl: number };

export interface DispenseRequest {
  /** What the recipe is for; without a target the ideal recipe's own colour takes its place. */
  readonly match: Omit<MatchSetting, "target"> & { readonly target?: MatchSetting["target"] };
  /** The ideal recipe: wet amount of each component in any one unit of volume. */
  readonly volumes: ArrayLike<number>;
  /** mL of mix wanted. */
  readonly batch: number;
  /** How each component is measured out. */
  readonly units: readonly DoseUnit[];
  /** Order of pouring, by index of component; binder first, then the greatest dose, when left out. */
  readonly order?: readonly number[];
}

interface Dose {
  readonly component: number;
  readonly unit: DoseUnit["kind"];
  /** Whole steps of the balance, or drops. */
  readonly steps: number;
  /** Steps of the ideal recipe, not rounded. */
  readonly idealSteps: number;
  /** mL */
  readonly volume: number;
  /** g */
  readonly grams: number;
  /** g on the balance when this component is in, everything poured before it included. */
  readonly cumulativeGrams: number;
}

export interface Dispensing {
  /** In the order of pouring; components of no amount are left out. */
  readonly doses: readonly Dose[];
  /** mL of each component as dispensed. */
  readonly volumes: Float64Array;
  /** mL and g of the whole as dispensed. */
  readonly batch: number;
  readonly grams: number;
  /** Greatest ΔE00 in the main light over the grounds: to the target (or from the ideal recipe), before and after rounding. */
  readonly idealDifference: number;
  readonly roundedDifference: number;
  /** The same after plain rounding of each dose to the nearest step, for comparison. */
  readonly nearestDifference: number;
  /** ΔE00 between the ideal and the dispensed recipe in the main light, the greatest over the grounds. */
  readonly shift: number;
  /** Smallest batch, mL, in which every dose is at least ten steps. */
  readonly comfortableBatch: number;
  readonly notes: readonly string[];
}

/** A recipe that misses its target by more than this (ΔE00) is meant as it is: rounding then keeps to its own colour. */
const meantToDiffer = 3;
/** Below this many steps a dose can be off by more than 5 %. */
const comfortableSteps = 10;

/**
 * Drops to the mL of a bottle from drops counted onto a balance.
 * @param drops number counted   @param grams their mass   @param density g/mL
 */
export function dropsPerMlCounted(drops: number, grams: number, density: number): number {
  wholeNumber("number of drops", drops, 1);
  aboveZero("mass of the drops", grams, "g");
  aboveZero("density", density, "g/mL");
  return (drops * density) / grams;
}

/**
 * Round a recipe to what can be measured out. Among the roundings around the ideal doses, the one whose predicted colour is
 * best is taken: errors of several doses may cancel. Never worse than rounding each dose to the nearest step.
 *
 * @throws RangeError for a batch of no size or negative amounts; TypeError when lists differ in length
 */
export function dispense({ match, volumes, batch, units, order }: DispenseRequest): Dispensing {
  const { components, binderIndex } = match;
  aboveZero("batch", batch, "mL");
  ofLength("volumes", volumes, components.length);
  ofLength("units", units, components.length);
  each("volume", volumes, atLeastZero, "mL");
  const total = sumOf(volumes);
  aboveZero("sum of the volumes", total, "mL");
  units.forEach((unit, j) => {
    if (unit.kind === "grams") aboveZero(`balance step for ${components[j].name}`, unit.step, "g");
    else aboveZero(`drops per mL of ${components[j].name}`, unit.dropsPerMl);
  });
  const stepVolume = Float64Array.from(units, (unit, j) =>
    unit.kind === "grams" ? unit.step / components[j].density : 1 / unit.dropsPerMl,
  );
  const ideal = Float64Array.from(volumes, (volume, j) => (volume * batch) / total / stepVolume[j]);
  const used = Array.from(ideal.keys()).filter((j) => ideal[j] > 0);
  const measure = measureOf(match, volumes);
  const at = (steps: Float64Array) => measure(steps.map((n, j) => n * stepVolume[j]));

  const nearest = ideal.map((n) => Math.round(n));
  if (nearest.every((n) => n === 0)) {
    throw new RangeError(`batch = ${batch} mL: too small, every dose is less than half a step`);
  }
  const asItIs = measure(Float64Array.from(volumes));
  const own = asItIs.main > meantToDiffer;
  const best = bestRounding(ideal, nearest, used, binderIndex, (steps) =>
    own ? at(steps).shift : at(steps).objective,
  );
  const rounded = best.map((n, j) => n * stepVolume[j]);
  const grams = rounded.map((volume, j) => volume * components[j].density);
  const pouring =
    order ??
    [...used].sort(
      (p, q) => Number(q === binderIndex) - Number(p === binderIndex) || rounded[q] - rounded[p],
    );
  for (const j of pouring) {
    wholeNumber("order of pouring", j);
    if (j >= components.length)
      throw new RangeError(`order of pouring: ${j} must be below ${components.length}`);
  }
  let sum = 0;
  const doses = pouring
    .filter((j) => used.includes(j))
    .map((j): Dose => {
      sum += grams[j];
      return {
        component: j,
        unit: units[j].kind,
        steps: best[j],
        idealSteps: ideal[j],
        volume: rounded[j],
        grams: grams[j],
        cumulativeGrams: sum,
      };
    });
  const dispensed = measure(rounded);
  const smallest = Math.min(...used.map((j) => ideal[j]));
  const comfortableBatch = batch * Math.max(1, comfortableSteps / smallest);
  return {
    doses,
    volumes: rounded,
    batch: rounded.reduce((t, v) => t + v, 0),
    grams: grams.reduce((t, v) => t + v, 0),
    idealDifference: asItIs.main,
    roundedDifference: dispensed.main,
    nearestDifference: at(nearest).main,
    shift: dispensed.shift,
    comfortableBatch: smallest >= comfortableSteps ? batch : comfortableBatch,
    notes: notesOn(best, ideal, used, match, comfortableBatch),
  };
}

function notesOn(
  best: Float64Array,
  ideal: Float64Array,
  used: readonly number[],
  { components, binderIndex }: DispenseRequest["match"],
  comfortableBatch: number,
): string[] {
  const notes: string[] = [];
  for (const j of used) {
    if (j === binderIndex) continue;
    if (best[j] === 0) {
      notes.push(`${components[j].name} falls away: its dose is ${ideal[j].toFixed(2)} of a step`);
    } else if (ideal[j] < comfortableSteps) {
      notes.push(
        `${components[j].name} is only ${plural(best[j], "step")}; ` +
          `from ${Math.ceil(comfortableBatch)} mL on every dose is at least ${comfortableSteps}`,
      );
    }
  }
  return notes;
}

/** Predicts a recipe from wet volumes: what the rounding is to minimise, and what is shown. */
function measureOf(match: DispenseRequest["match"], idealVolumes: ArrayLike<number>) {
  const length = match.components[match.binderIndex].absorption.length;
  const { target } = match;
  const given = target ?? { kind: "spectrum" as const, seen: new Float64Array(length).fill(0.5) };
  const { forward, depths, lights, targets } = prepareMatch({ ...match, target: given });
  const count = 3 * forward.grounds * lights.length;
  const idealLabs = new Float64Array(count);
  forward.labsInto(variablesOf(depths, idealVolumes), idealLabs);
  const labs = new Float64Array(count);
  return (volumes: Float64Array): { objective: number; main: number; shift: number } => {
    forward.labsInto(variablesOf(depths, volumes), labs);
    let objective = 0;
    let main = 0;
    let shift = 0;
    for (let g = 0; g < forward.grounds; g++) {
      let sum = 0;
      for (let l = 0; l < lights.length; l++) {
        const at = 3 * (g * lights.length + l);
        const Lab = labs.subarray(at, at + 3);
        const idealLab = idealLabs.subarray(at, at + 3);
        const difference = deltaE2000(target ? targets[l] : idealLab, Lab);
        sum += lights[l].weight * difference;
        if (l === 0) {
          main = Math.max(main, difference);
          shift = Math.max(shift, deltaE2000(idealLab, Lab));
        }
      }
      objective = Math.max(objective, sum);
    }
    return { objective, main, shift };
  };
}
