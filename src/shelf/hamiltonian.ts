import { solveLowerArrow, solveUpperArrow } from "../fit/blockArrow.ts";
import { normal, seededRandom } from "../fit/seededRandom.ts";
import type { Mode } from "./mode.ts";
import type { ShelfModel } from "./shelfModel.ts";

/** Draws from the posterior, one after another in one array. */
interface Chain {
  readonly draws: Float64Array;
  readonly count: number;
  /** share of the proposals that were taken */
  readonly taken: number;
}

/** The length of a path: a quarter of the circle on which a normal posterior would turn, and a little by chance. */
const quarter = Math.PI / 2;
/** Share of paths taken at which the step is right for paths of this kind (Beskos and others 2013: 0.65; safer: 0.8). */
const wanted = 0.8;

/**
 * Draws by Hamiltonian paths, in coordinates in which the posterior would be a standard normal one if it were normal.
 *
 * @param warm paths that are thrown away while the step is found   @param keep draws that are kept   @param thin paths for each
 * Source: Neal 2011, "MCMC using Hamiltonian dynamics", sections 3 and 4.1.
 */
export function hamiltonianDraws(
  model: ShelfModel,
  mode: Mode,
  { warm, keep, thin, seed }: { warm: number; keep: number; thin: number; seed: number },
  onPath: (path: number) => void = () => {},
): Chain {
  const { size } = model.compiled;
  const random = seededRandom(seed);
  const { factor } = mode;
  const z = new Float64Array(size);
  const zNew = new Float64Array(size);
  const p = new Float64Array(size);
  const q = new Float64Array(size);
  const gradient = new Float64Array(size);
  const gradientNew = new Float64Array(size);
  const draws = new Float64Array(keep * size);
  // Begin at a draw of the normal approximation, drawn in a little: the mode itself is no usual place.
  for (let i = 0; i < size; i++) z[i] = 0.5 * normal(random);
  const room = new Float64Array(factor.pattern.rest.length);
  const unwhiten = (at: Float64Array): void => {
    q.set(at);
    solveUpperArrow(factor, q, room);
    for (let i = 0; i < size; i++) q[i] += mode.q[i];
  };
  const evaluate = (at: Float64Array, out: Float64Array): number => {
    unwhiten(at);
    const cost = model.cost(q, out);
    solveLowerArrow(factor, out, room);
    return cost;
  };
  let cost = evaluate(z, gradient);
  let step = 0.25;
  let kept = 0;
  let taken = 0;
  const paths = warm + keep * thin;
  for (let path = 0; path < paths; path++) {
    let energy = cost;
    for (let i = 0; i < size; i++) {
      p[i] = normal(random);
      energy += 0.5 * p[i] * p[i];
    }
    zNew.set(z);
    gradientNew.set(gradient);
    const leaps = Math.max(1, Math.min(24, Math.round((quarter * (0.7 + 0.6 * random())) / step)));
    let costNew = cost;
    for (let leap = 0; leap < leaps; leap++) {
      for (let i = 0; i < size; i++) {
        p[i] -= 0.5 * step * gradientNew[i];
        zNew[i] += step * p[i];
      }
      costNew = evaluate(zNew, gradientNew);
      for (let i = 0; i < size; i++) p[i] -= 0.5 * step * gradientNew[i];
      if (!(costNew < energy + 1000)) break;
    }
    let energyNew = costNew;
    for (let i = 0; i < size; i++) energyNew += 0.5 * p[i] * p[i];
    const chance = Math.min(1, Math.exp(energy - energyNew)) || 0;
    if (random() < chance) {
      z.set(zNew);
      gradient.set(gradientNew);
      cost = costNew;
      if (path >= warm) taken++;
    }
    if (path < warm)
      step = Math.min(0.8, Math.max(0.02, step * Math.exp((chance - wanted) / Math.sqrt(1 + path / 3))));
    else if ((path - warm + 1) % thin === 0) {
      unwhiten(z);
      draws.set(q, kept * size);
      kept++;
    }
    onPath(path);
  }
  return { draws, count: kept, taken: taken / (paths - warm) };
}
