import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { factorInPlace, solveFactored } from "../fit/denseAlgebra.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import type { ShelfDraws } from "./calibrateShelf.ts";
import { errorFactor, lightness } from "./readingError.ts";

/** A panel worth making, and how far the colour of the job is then expected to lie from its prediction. */
interface NextPanel {
  /** index into the candidates */
  readonly candidate: number;
  /** mean ΔE00 expected once this panel, and those before it in the list, are read */
  readonly expected: number;
}

interface Question {
  /** reading of the shelf that stands for the job */
  readonly job: number;
  /** readings of the shelf that stand for panels that could be made */
  readonly candidates: readonly number[];
  readonly readings: number;
  readonly wavelengths: Float64Array;
  readonly weights: TristimulusWeights;
  /** how many panels to choose, one after another */
  readonly steps: number;
  readonly seed: number;
}

/** What is expected of the job now, and of the panels that narrow it most. */
interface NextPanels {
  readonly now: number;
  readonly panels: readonly NextPanel[];
}

/**
 * A reading is told by this many cosines along the spectrum: paint spectra need six to ten (readingError.independent), and
 * each more would be fitted to the chance of the draws.
 */
const waves = 8;

/** Values draw by draw about their mean: rows are draws. */
interface Cloud {
  readonly width: number;
  readonly values: Float64Array;
}

/**
 * The panels that would narrow the colour of a job most. Draws of the job and draws of what a panel would read vary
 * together; a reading takes away what it explains, as in a linear regression with the error of the reading. What is
 * expected is judged by draws from which the regression was not taken.
 *
 * Source: ensembles with perturbed observations (Burgers, van Leeuwen, Evensen 1998); two halves judging each other are
 * common practice.
 */
export function nextPanels(draws: ShelfDraws, question: Question): NextPanels {
  const { job, candidates, readings, wavelengths, weights, steps, seed } = question;
  const points = wavelengths.length;
  const { count } = draws;
  const random = seededRandom(seed);
  const reflectanceOf = (reading: number, d: number) => {
    const at = (d * readings + reading) * points;
    return draws.reflectance.subarray(at, at + points);
  };
  const Lab = new Float64Array(3);
  const centre = new Float64Array(3);
  const wanted = cloud(count, 3, (d, out) => {
    out.set(reflectanceToLab(reflectanceOf(job, d), weights, Lab));
    for (let i = 0; i < 3; i++) centre[i] += Lab[i] / count;
  });
  const middle = new Float64Array(points);
  const scale = Math.sqrt(draws.scale.reduce((sum, one) => sum + one * one, 0) / count);
  const error = new Float64Array(points);
  // What each panel would read, with the error of its reading.
  let seen = candidates.map((reading) => {
    middle.fill(0);
    for (let d = 0; d < count; d++) {
      const R = reflectanceOf(reading, d);
      for (let i = 0; i < points; i++) middle[i] += R[i] / count;
    }
    const factor = errorFactor(wavelengths, middle);
    return cloud(count, waves, (d, out) => {
      const R = reflectanceOf(reading, d);
      for (let i = 0; i < points; i++) error[i] = normal(random);
      for (let i = 0; i < points; i++) {
        let sum = lightness(R[i]);
        for (let j = 0; j <= i; j++) sum += scale * factor[i * points + j] * error[j];
        for (let k = 0; k < waves; k++) out[k] += sum * Math.cos((Math.PI * k * (i + 0.5)) / points);
      }
    });
  });
  let left = wanted;
  const panels: NextPanel[] = [];
  for (let step = 0; step < steps && panels.length < candidates.length; step++) {
    let best: NextPanel | undefined;
    seen.forEach((one, candidate) => {
      if (panels.some((panel) => panel.candidate === candidate)) return;
      const expected = meanDifference(crossExplained(left, one), centre);
      if (!best || expected < best.expected) best = { candidate, expected };
    });
    if (!best) break;
    panels.push(best);
    const by = seen[best.candidate];
    left = unexplained(left, by, 0, count, 0, count);
    seen = seen.map((one) => (one === by ? one : unexplained(one, by, 0, count, 0, count)));
  }
  return { now: meanDifference(wanted, centre), panels };
}

function cloud(count: number, width: number, fill: (d: number, out: Float64Array) => void): Cloud {
  const values = new Float64Array(count * width);
  const mean = new Float64Array(width);
  for (let d = 0; d < count; d++) {
    const row = values.subarray(d * width, (d + 1) * width);
    fill(d, row);
    for (let i = 0; i < width; i++) mean[i] += row[i] / count;
  }
  for (let d = 0; d < count; d++) for (let i = 0; i < width; i++) values[d * width + i] -= mean[i];
  return { width, values };
}

/** What is left of a cloud; each half is explained by a regression from the other. */
function crossExplained(of: Cloud, by: Cloud): Cloud {
  const count = of.values.length / of.width;
  // Draws of the priors stand one after another: the halves of each belong to either side.
  const odd = shuffled(of);
  const oddBy = shuffled(by);
  const half = count >> 1;
  const first = unexplained(odd, oddBy, half, count, 0, half).values;
  const second = unexplained(odd, oddBy, 0, half, half, count).values;
  const values = new Float64Array(of.values.length);
  values.set(first);
  values.set(second, half * of.width);
  return { width: of.width, values };
}

/** Even draws first, then the odd ones. */
function shuffled({ width, values }: Cloud): Cloud {
  const count = values.length / width;
  const even = (count + 1) >> 1;
  const out = new Float64Array(values.length);
  for (let d = 0; d < count; d++) {
    const to = d % 2 === 0 ? d >> 1 : even + (d >> 1);
    out.set(values.subarray(d * width, (d + 1) * width), to * width);
  }
  return { width, values: out };
}

/** Draws of a cloud from `begin` to `end`, less what a regression taken from draws `from` to `to` explains of them. */
function unexplained(of: Cloud, by: Cloud, from: number, to: number, begin: number, end: number): Cloud {
  const n = by.width;
  const m = of.width;
  const inner = new Float64Array(n * n);
  const across = new Float64Array(m * n);
  for (let d = from; d < to; d++) {
    for (let i = 0; i < n; i++) {
      const x = by.values[d * n + i];
      for (let j = 0; j <= i; j++) inner[i * n + j] += x * by.values[d * n + j];
      for (let k = 0; k < m; k++) across[k * n + i] += x * of.values[d * m + k];
    }
  }
  // A millionth of the trace keeps what is the same everywhere from being taken for news.
  let trace = 0;
  for (let i = 0; i < n; i++) trace += inner[i * n + i];
  for (let i = 0; i < n; i++) inner[i * n + i] += 1e-6 * trace + 1e-12;
  const values = of.values.slice(begin * m, end * m);
  if (!factorInPlace(inner, n)) return { width: m, values };
  const gain = new Float64Array(n);
  for (let k = 0; k < m; k++) {
    gain.set(across.subarray(k * n, (k + 1) * n));
    solveFactored(inner, gain);
    for (let d = begin; d < end; d++) {
      let sum = 0;
      for (let i = 0; i < n; i++) sum += gain[i] * by.values[d * n + i];
      values[(d - begin) * m + k] -= sum;
    }
  }
  return { width: m, values };
}

/** Mean ΔE00 of a cloud in L*, a*, b* about a colour. */
function meanDifference({ values }: Cloud, centre: Float64Array): number {
  const count = values.length / 3;
  const Lab = new Float64Array(3);
  let sum = 0;
  for (let d = 0; d < count; d++) {
    for (let i = 0; i < 3; i++) Lab[i] = centre[i] + values[3 * d + i];
    sum += deltaE2000(centre, Lab);
  }
  return sum / count;
}
