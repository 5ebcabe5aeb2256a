import { reflectanceToLab } from "../colour/Lab.ts";
import { filmReflectanceInto } from "../optics/film.ts";
import { toMeasuredInto } from "../optics/interface.ts";
import type { CalibratedShelf } from "./calibrateShelf.ts";
import { lightness, readingError } from "./readingError.ts";
import type { Shelf, ShelfReading } from "./shelf.ts";

/** From a day on a paste colours otherwise than before. */
interface StrengthShift {
  readonly component: number;
  /** First date of the new strength. */
  readonly date: string;
  /** Strength beside the one before. */
  readonly ratio: number;
}

/** A reading that is looked at, with its date. */
interface DatedReading {
  readonly reading: number;
  readonly date: string;
}

/** Fewer readings on one side say nothing. */
const leastReadings = 3;
/** Some ten days are tried for each of some ten pastes: what chance does in one case of a thousand is no news. */
const leastSure = 3.5;
/** Makers allow this much (common practice). */
const leastShift = 0.05;
/** A change of ln amount, to find slopes by differences. */
const step = 0.05;

/** A shift with the strengths on either side, as logarithms, and how sure it is. */
interface FoundShift extends StrengthShift {
  readonly before: number;
  readonly after: number;
  readonly sure: number;
}

/**
 * Pastes whose strength jumped on a day, where bottles are not told. Each film says by itself how strong the paste would
 * have to be, K and S together, its thickness being known no better than told; then the day is looked for that parts the
 * films best. In mixtures a weak paste makes the others look strong, so the surest shift is told first, and counted with when
 * the others are looked at.
 *
 * @param dated readings of one film over a bare ground, none that contradicts the rest
 * Source: least squares; the greatest of two-sample differences over all partings (common practice for change points).
 */
export function strengthByDate(
  shelf: Shelf,
  result: CalibratedShelf,
  dated: readonly DatedReading[],
): StrengthShift[] {
  const rising = [...dated].sort((a, b) => a.date.localeCompare(b.date, "en"));
  const found: FoundShift[] = [];
  for (let round = 0; round < shelf.components.length; round++) {
    const strengthAt = (component: number, date: string): number => {
      const shift = found.find((one) => one.component === component);
      return shift ? (date < shift.date ? shift.before : shift.after) : 0;
    };
    let best: FoundShift | undefined;
    shelf.components.forEach((_, component) => {
      if (found.some((one) => one.component === component)) return;
      const said = rising.flatMap(({ reading, date }) => {
        const strength = strengthIn(shelf, result, reading, component, (other) => strengthAt(other, date));
        return strength ? [{ date, ...strength }] : [];
      });
      const shift = shiftOf(component, said);
      if (shift && shift.sure > (best?.sure ?? 0)) best = shift;
    });
    if (!best) break;
    found.push(best);
  }
  return found.map(({ component, date, ratio }) => ({ component, date, ratio }));
}

interface SaidStrength {
  readonly log: number;
  readonly variance: number;
}

function shiftOf(
  component: number,
  said: readonly (SaidStrength & { readonly date: string })[],
): FoundShift | undefined {
  let best: FoundShift | undefined;
  for (let k = leastReadings; k <= said.length - leastReadings; k++) {
    if (said[k].date === said[k - 1].date) continue;
    const before = middleOf(said.slice(0, k));
    const after = middleOf(said.slice(k));
    // Where films differ by more than they should, so does the difference of their means.
    const spread = Math.max(1, (before.square + after.square) / (said.length - 2));
    const sure = Math.abs(after.mean - before.mean) / Math.sqrt(spread * (before.variance + after.variance));
    const ratio = Math.exp(after.mean - before.mean);
    if (sure < Math.max(leastSure, best?.sure ?? 0) || Math.abs(ratio - 1) <= leastShift) continue;
    best = { component, date: said[k].date, ratio, before: before.mean, after: after.mean, sure };
  }
  return best;
}

function middleOf(said: readonly SaidStrength[]) {
  const weight = said.reduce((sum, { variance }) => sum + 1 / variance, 0);
  const mean = said.reduce((sum, { log, variance }) => sum + log / variance, 0) / weight;
  const square = said.reduce((sum, { log, variance }) => sum + (log - mean) ** 2 / variance, 0);
  return { mean, variance: 1 / weight, square };
}

/** ln of the strength that a paste would have to have for one film; undefined where the film cannot tell. */
function strengthIn(
  shelf: Shelf,
  { absorption, scattering }: CalibratedShelf,
  reading: number,
  component: number,
  strengthOf: (component: number) => number,
): SaidStrength | undefined {
  const { films, ground, specular, seen } = shelf.readings[reading];
  const { parts, thicknessSigma, doseSigma } = shelf.films[films[0]];
  if (!seen || films.length > 1 || !parts.some((part) => part.component === component)) return undefined;
  const points = shelf.wavelengths.length;
  const { externalReflection: k1, internalReflection: k2 } = shelf.surface;
  const K = new Float64Array(points);
  const S = new Float64Array(points);
  const R = new Float64Array(points);
  const computed = (strength: number, thickness: number): Float64Array => {
    K.fill(0);
    S.fill(0);
    for (const { component: c, amount } of parts) {
      const X = amount * Math.exp(thickness + (c === component ? strength : strengthOf(c)));
      for (let i = 0; i < points; i++) {
        K[i] += X * absorption[c * points + i];
        S[i] += X * scattering[c * points + i];
      }
    }
    filmReflectanceInto(K, S, 1, shelf.grounds[ground], R);
    toMeasuredInto(R, k1, k2, specular, R);
    return seen.kind === "Lab" ? reflectanceToLab(R, seen.weights, new Float64Array(3)) : R.map(lightness);
  };
  const { target, sigma } = comparedWith(seen);
  const now = computed(0, 0);
  const byStrength = computed(step, 0);
  const byThickness = computed(0, step);
  // Normal equations of strength and thickness, the latter held to what was told.
  let ss = 0;
  let st = 0;
  let tt = 1 / thicknessSigma ** 2;
  let sr = 0;
  let tr = 0;
  for (let i = 0; i < target.length; i++) {
    const s = (byStrength[i] - now[i]) / (step * sigma);
    const t = (byThickness[i] - now[i]) / (step * sigma);
    const r = (target[i] - now[i]) / sigma;
    ss += s * s;
    st += s * t;
    tt += t * t;
    sr += s * r;
    tr += t * r;
  }
  const determinant = ss * tt - st * st;
  const variance = tt / determinant + doseSigma ** 2;
  // A film in which the paste hardly shows says nothing.
  if (!(variance < 1)) return undefined;
  return { log: (tt * sr - st * tr) / determinant, variance };
}

/** What a reading is compared by, and its 1σ at each place so that a spectrum counts for its independent pieces of news. */
function comparedWith(seen: NonNullable<ShelfReading["seen"]>): { target: Float64Array; sigma: number } {
  const { misfit, misfitLab, independent } = readingError;
  if (seen.kind === "Lab")
    return { target: Float64Array.from(seen.Lab), sigma: Math.hypot(seen.sigma, misfitLab) };
  const target = seen.reflectance.map(lightness);
  return { target, sigma: misfit * Math.sqrt(Math.max(1, target.length / independent)) };
}
