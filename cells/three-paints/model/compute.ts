import type { Component } from "../../../src/coating/component.ts";
import { remainder } from "../../../src/colour/remainder.ts";
import { withinSteps } from "../../../src/fit/steps.ts";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { LastAnswers } from "../../../src/graph/lastAnswers.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import { GroundChain } from "../../../src/ground/chain.ts";
import { type GroundJob, plannedPoint } from "../../../src/ground/job.ts";
import { type GroundTriangle, groundCurve, groundTriangle, ratioOfShares } from "../../../src/ground/map.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type GroundCoverage, groundJobOf, groundPointOf, withGround } from "../../../src/ports/groundJob.ts";
import type { Settings } from "./parameters.ts";

/** Shares of the three paints by wet volume, and what they give. */
export interface RatedBlend {
  readonly shares: readonly [number, number, number];
  readonly difference: number;
  /** The part that fares worst, and its tristimulus values. */
  readonly part: number;
  readonly XYZ: Float64Array;
}

/** All blends of three paints. */
export interface ThreePaints {
  readonly coverage: GroundCoverage;
  readonly paints: readonly [Component, Component, Component];
  readonly triangle: GroundTriangle;
  readonly best: RatedBlend;
  /** The best of any two of them. */
  readonly bestOfTwo: RatedBlend;
  readonly current: RatedBlend;
}

interface Answer {
  readonly triangle: GroundTriangle;
  readonly best: RatedBlend;
  readonly bestOfTwo: RatedBlend;
}

const answers = new LastAnswers<Answer>();
const edgePlaces = 201;
/** Shares are found to this, which is finer than anyone pours. */
const finest = 1e-3;

/** The map and the best blends; computed anew only when something other than the blend has changed. */
export function compute(
  { coverage: given }: { coverage: Coverage },
  { third, steps }: Settings,
  { id }: ComputeContext,
): ThreePaints {
  const coverage = withGround(given);
  const paints = paintsOf(coverage, third);
  const job: GroundJob = { ...groundJobOf(coverage), paints };
  const point = { ...groundPointOf(coverage, job), ratio: 0, thirdShare: 0 };
  const signature = signatureOf([job, steps]);
  const answer =
    answers.get(id, signature) ??
    answers.keep(id, signature, {
      triangle: groundTriangle(job, steps, point),
      ...bestBlends(job, groundTriangle(job, 24, point)),
    });
  return { coverage, paints, ...answer, current: currentBlend(coverage, job) };
}

/** Paints that may stand at the third corner beside the basecoat's first two. */
export function thirdPaints({ basecoat: { paints, available } }: GroundCoverage): Component[] {
  const others = available.filter(({ id }) => !paints.slice(0, 2).some((paint) => paint.id === id));
  const third = paints[2];
  return third && !others.some(({ id }) => id === third.id) ? [third, ...others] : others;
}

function paintsOf(coverage: GroundCoverage, wanted: string): [Component, Component, Component] {
  const [first, second, own] = coverage.basecoat.paints;
  const others = thirdPaints(coverage);
  const third = own ?? (wanted ? others.find(({ id }) => id === wanted) : others[0]);
  if (!third) {
    throw new InputError(
      wanted ? `There is no base paint "${wanted}" at hand` : "There is no third base paint at hand",
      {
        field: "third",
        wayOut: others.length
          ? `Choose one of ${others.map(({ name }) => name).join(", ")}`
          : "Put a third base paint into the set that the basecoat cell is linked to",
      },
    );
  }
  return [first, second, third];
}

function currentBlend({ basecoat }: GroundCoverage, job: GroundJob): RatedBlend {
  const [, second, third = 0] = basecoat.shares;
  return rated(new GroundChain(job), job, [second, third]);
}

function rated(chain: GroundChain, job: GroundJob, [second, third]: readonly [number, number]): RatedBlend {
  const difference = differenceAt(chain, job, [second, third]);
  const part = chain.worstPart;
  const XYZ = chain.XYZs.slice(3 * part, 3 * part + 3);
  return { shares: [remainder(1, second, third), second, third], difference, part, XYZ };
}

function differenceAt(
  chain: GroundChain,
  job: GroundJob,
  [second, third]: readonly [number, number],
): number {
  const { ratio, thirdShare } = ratioOfShares(remainder(1, second, third), second, third);
  return chain.at(plannedPoint(job, ratio, thirdShare));
}

/** The best of all blends, and the best of two, each finer than the map. */
function bestBlends(job: GroundJob, coarse: GroundTriangle): { best: RatedBlend; bestOfTwo: RatedBlend } {
  const chain = new GroundChain(job);
  let [second, third] = coarse.shares.subarray(3 * coarse.best + 1, 3 * coarse.best + 3);
  let value = coarse.worst[coarse.best];
  let step = 1 / coarse.steps;
  for (let round = 0; step > finest / 2; round++) {
    withinSteps(round, 1000, "the search for the best blend");
    let moved = false;
    for (const [x, y] of directions) {
      const [a, b] = [second + step * x, third + step * y];
      if (a < 0 || b < 0 || a + b > 1) continue;
      const found = differenceAt(chain, job, [a, b]);
      if (found < value) [value, second, third, moved] = [found, a, b, true];
    }
    if (!moved) step /= 2;
  }
  const best = rated(chain, job, [second, third]);
  return { best, bestOfTwo: bestOfPairs(job, best) };
}

const directions = [
  [1, 0],
  [-1, 0],
  [0, 1],
  [0, -1],
  [1, -1],
  [-1, 1],
  // Between those: the valley of the worst of several parts has creases.
  [1, 1],
  [-1, -1],
  [2, -1],
  [-2, 1],
  [1, -2],
  [-1, 2],
] as const;

function bestOfPairs(job: GroundJob, best: RatedBlend): RatedBlend {
  // An edge of the triangle is a blend of two; where the best of all lies on one, it is the best of two as well.
  if (best.shares.some((share) => share < finest)) return best;
  const values = Float64Array.from({ length: edgePlaces }, (_, k) => k / (edgePlaces - 1));
  const pairs = [
    [0, 1],
    [0, 2],
    [1, 2],
  ] as const;
  const chain = new GroundChain(job);
  const ofPairs = pairs.map(([p, q]): RatedBlend => {
    const pair = { ...job, paints: [job.paints[p], job.paints[q]] };
    const { worst } = groundCurve(pair, { setting: "ratio", values }, plannedPoint(pair, 0));
    const k = worst.indexOf(Math.min(...worst));
    const shares = [0, 0, 0];
    shares[p] = 1 - values[k];
    shares[q] = values[k];
    return rated(chain, job, [shares[1], shares[2]]);
  });
  return ofPairs.reduce((least, other) => (other.difference < least.difference ? other : least));
}
