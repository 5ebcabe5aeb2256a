import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { compileShelf } from "../shelf/compiledShelf.ts";
import { findMode } from "../shelf/mode.ts";
import { usualPriors } from "../shelf/priors.ts";
import type { Shelf } from "../shelf/shelf.ts";
import { ShelfModel } from "../shelf/shelfModel.ts";

/** How near the panels that were yet to come lay to what the shelf said of them then. */
export interface ErrorSoFar {
  /** Panels that were in. */
  readonly panels: number;
  /** Panels yet to come that were predicted. */
  readonly ahead: number;
  /** Half of them lay nearer than this, ΔE00. */
  readonly median: number;
}

/** Shares of the panels after which is looked. The most likely shelf of one middle prior is good enough for this. */
const shares = [0, 0.2, 0.4, 0.6, 0.8];
const leastAhead = 3;

/**
 * How the error of the shelf fell as panels came in: after each fifth of them, the distance of all that were yet to come
 * from their prediction.
 *
 * @param order readings in the order in which they came in
 * @param before what was said when there were so many panels, where all of them are among these: only what has come in
 * since is looked at, once it is enough
 */
export function errorsSoFar(
  shelf: Shelf,
  order: readonly number[],
  usual: TristimulusWeights,
  onProgress: (share: number) => void = () => {},
  before?: { readonly panels: number; readonly errors: readonly ErrorSoFar[] },
): ErrorSoFar[] {
  const points = shelf.wavelengths.length;
  const errors: ErrorSoFar[] = [...(before?.errors ?? [])];
  const numbers = before
    ? [before.panels]
    : [...new Set(shares.map((share) => Math.round(share * order.length)))];
  let from: Float64Array | undefined;
  numbers.forEach((panels, k) => {
    onProgress(k / numbers.length);
    const ahead = order.slice(panels);
    if (ahead.length < leastAhead) return;
    const there = new Set(order.slice(0, panels));
    const readings = shelf.readings.map((reading, r) => ({ ...reading, setAside: !there.has(r) }));
    const model = new ShelfModel(compileShelf({ ...shelf, readings }, usualPriors[2]));
    const start = from ?? new Float64Array(model.compiled.size);
    const { q } = findMode(model, start, from ? 1e-2 : 1, 40);
    from = q;
    model.set(q);
    const R = new Float64Array(points);
    const Lab = new Float64Array(3);
    const distances = ahead.flatMap((r) => {
      const { films, ground, specular, habit, seen } = shelf.readings[r];
      if (!seen) return [];
      const weights = seen.kind === "Lab" ? seen.weights : usual;
      const added = specular === "included" ? shelf.surface.externalReflection : 0;
      model.reflectanceInto(Int32Array.from(films), shelf.grounds[ground], added, R, habit);
      reflectanceToLab(R, weights, Lab);
      const measured =
        seen.kind === "Lab" ? seen.Lab : reflectanceToLab(seen.reflectance, weights, new Float64Array(3));
      return [deltaE2000(Lab, measured)];
    });
    distances.sort((a, b) => a - b);
    const middle = distances.length / 2;
    const median = (distances[Math.floor(middle)] + distances[Math.ceil(middle) - 1]) / 2;
    errors.push({ panels, ahead: distances.length, median: Number(median.toFixed(2)) });
  });
  return errors;
}
