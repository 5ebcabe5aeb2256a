import { deltaE2000 } from "../../src/colour/difference.ts";
import { inverse3 } from "../../src/fit/denseAlgebra.ts";
import { normal } from "../../src/fit/seededRandom.ts";
import { eyeUnitsAt } from "../../src/judgement/judgedDifference.ts";
import { type PanelPaint, panelLab } from "../../src/judgement/nextPour.ts";
import { binderIndex, coats, lights, rack, sheen, surface } from "../recipes/lanternMatch.ts";
import { pouredOff, type Random } from "./simulatedObserver.ts";

/** Panels of the invented shelf, coated as the seats of the demo job. */
export const paint: PanelPaint = {
  components: rack,
  binderIndex,
  finish: coats.kind === "coats" ? { ...coats, grounds: [coats.grounds[0]] } : coats,
  weights: lights[0].weights,
  surface,
  sheen,
  maxLoading: 0.25,
};

/** A colour that is so many of the eye's own units more than another on each axis: lighter, stronger, further round. */
export function moved(Lab: ArrayLike<number>, units: readonly number[]): Float64Array {
  // The units are those of panel minus reference by the reference, which falls as the reference grows.
  const back = inverse3(eyeUnitsAt(Lab));
  return Float64Array.from({ length: 3 }, (_, i) =>
    units.reduce((sum, unit, j) => sum - back[3 * i + j] * unit, Lab[i]),
  );
}

/** What is really poured where the film model says `Lab`. */
export const poured = (Lab: ArrayLike<number>, random: Random): Float64Array =>
  moved(
    Lab,
    [0, 1, 2].map(() => pouredOff * normal(random)),
  );

export interface Scene {
  readonly reference: Float64Array;
  readonly first: Float64Array;
  /** mL of every component per 100 mL of the first panel, and the pastes of the two. */
  readonly firstVolumes: Float64Array;
  readonly pastes: readonly number[];
}

/** A reference that two to four pastes of the shelf can make, and a first panel of them that is ΔE00 7 away. */
export function scene(random: Random): Scene {
  for (;;) {
    const volumes = randomRecipe(random);
    const reference = panelLab(paint, volumes);
    const pastes = [...volumes.keys()].filter((j) => j !== binderIndex && volumes[j] > 0);
    const way = volumes.map((v) => (v > 0 ? normal(random) : 0));
    const at = (length: number): Float64Array => volumes.map((v, j) => v * Math.exp(length * way[j]));
    let low = 0;
    let high = 0.05;
    while (high < 4 && deltaE2000(reference, panelLab(paint, at(high))) < 7) high *= 1.5;
    if (high >= 4) continue;
    for (let step = 0; step < 30; step++) {
      const middle = (low + high) / 2;
      if (deltaE2000(reference, panelLab(paint, at(middle))) < 7) low = middle;
      else high = middle;
    }
    const mix = at(high);
    const total = mix.reduce((sum, v) => sum + v, 0);
    const firstVolumes = mix.map((v) => (100 * v) / total);
    return { reference, first: panelLab(paint, firstVolumes), firstVolumes, pastes };
  }
}

function randomRecipe(random: Random): Float64Array {
  const volumes = new Float64Array(rack.length);
  const pastes = 2 + Math.floor(3 * random());
  for (let left = pastes; left > 0; ) {
    const j = Math.floor(random() * (rack.length - 1));
    if (volumes[j] > 0) continue;
    volumes[j] = 0.5 + 5 * random();
    left--;
  }
  volumes[binderIndex] = 100 - volumes.reduce((sum, v) => sum + v, 0);
  return volumes;
}

/** Judged and measured panels of one observer: pairs of half a unit to eight, evenly in logs, in any direction. */
export function pairOf(random: Random): { reference: Float64Array; panel: Float64Array } {
  const reference = panelLab(paint, randomRecipe(random));
  const size = 0.5 * Math.exp(random() * Math.log(16));
  const way = [normal(random), normal(random), normal(random)];
  const length = Math.hypot(...way);
  return {
    reference,
    panel: moved(
      reference,
      way.map((part) => (size * part) / length),
    ),
  };
}

/** A share of values, in order of size. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((p, q) => p - q);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}

export const shareOf = (hits: readonly boolean[]): number => hits.filter(Boolean).length / hits.length;
