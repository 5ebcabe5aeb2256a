import type { Component } from "../coating/component.ts";
import {
  aboveZero,
  atLeastZero,
  each,
  fraction,
  ofLength,
  triple,
  wholeNumber,
  within,
} from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { AdditionLadder, bestOf } from "./additionLadder.ts";
import type { Additions } from "./additions.ts";
import {
  type Discrepancy,
  estimateDiscrepancy,
  type PanelReading,
  type Trust,
  usualTrust,
} from "./discrepancy.ts";
import type { DoseUnit } from "./dispense.ts";
import { faults } from "./faults.ts";
import type { Finish } from "./finish.ts";
import { differencesOf, type MatchTarget, type PreparedMatch, prepareMatch, worstOf } from "./fitAmounts.ts";
import { ForwardModel, type WeightedLight } from "./forward.ts";

export interface CorrectionRequest {
  readonly components: readonly Component[];
  readonly binderIndex: number;
  /** mL of each component in the pot, as believed. */
  readonly pot: ArrayLike<number>;
  /** What a test panel of the pot reads … */
  readonly panel: PanelReading;
  /** … and how it was made: opaque, or coats over one ground. */
  readonly panelFinish: Finish;
  /** The colour and the job to bring the pot to. */
  readonly target: MatchTarget;
  readonly finish: Finish;
  readonly lights: readonly WeightedLight[];
  readonly surface: SurfaceConstants;
  readonly sheen: number;
  readonly maxLoading: number;
  /** Greatest number of pastes to add, 1…3; 3 when left out. The binder may always be added. */
  readonly maxPastes?: number;
  /** Components that must not be added, by index. */
  readonly excluded?: readonly number[];
  /** Greatest growth of the batch, 0.5 = half as much again (when left out). */
  readonly maxGrowth?: number;
  /** Good enough as it is: ΔE00 in the main light, in others over their weight; 0.5 when left out. */
  readonly tolerance?: number;
  /** One standard deviation of the reading, ΔE00, where the instrument's own is known; from the trust in it when left out. */
  readonly readingDoubt?: number;
  /** What a correction aims at, objective in ΔE00; the tolerance less its doubt when left out. */
  readonly aim?: number;
  /** How each component is measured out; 0.01 g on a balance when left out. */
  readonly units?: readonly DoseUnit[];
  readonly trust?: Trust;
}

type FullRequest = CorrectionRequest &
  Required<Pick<CorrectionRequest, "maxPastes" | "excluded" | "maxGrowth" | "tolerance" | "trust" | "units">>;

export interface Correction {
  readonly status: "corrected" | "right already" | "refused";
  /**
   * Expected objective without additions, by the corrected model: the greatest ΔE00 over grounds and lights, other lights than
   * the main one counting by their weight. And ΔE00 over each ground in each light. */
  readonly before: number;
  readonly differencesBefore: readonly Float64Array[];
  /** What counts as good, how well a correction can be foretold (one standard deviation), and what it aims at. ΔE00. */
  readonly tolerance: number;
  readonly doubt: number;
  readonly aim: number;
  /** The proposal; none when refused or right already. A refusal still lists ways as alternatives. */
  readonly additions: Additions | undefined;
  /** Other ways, each with other pastes. */
  readonly alternatives: readonly Additions[];
  /** The best that one pour and two pours can do, where they improve anything. */
  readonly byPours: readonly Additions[];
  readonly discrepancy: Discrepancy;
  /** In words: what is wrong with the pot, and why nothing is proposed if so. */
  readonly reason: string;
  /** In words: what would bring it within tolerance where the limits do not let it. */
  readonly wayOut: string | undefined;
}

/** An expected gain below this share of the difference, or below this ΔE00, is no gain. */
const leastGainShare = 0.15;
const leastGain = 0.1;
/** Additions that neither halve the difference nor bring it below this ΔE00 are no way out of a bad pot. */
const goodEnough = 1;
const otherWays = 4;
/** However great the doubt, a correction does not aim below this share of the tolerance. */
const leastAim = 0.5;
const usualUnit: DoseUnit = { kind: "grams", step: 0.01 };

/**
 * The least additions, never removals, that bring a mixed pot on target, in doses that can be measured out.
 *
 * The pot as it really is is estimated from the test panel; then every choice of up to three pastes and the binder is worked
 * out (`AdditionLadder`). Of those whose doses as rounded come within the aim, the one that adds least is proposed; where none
 * does within the greatest growth, the one that comes nearest. Since what is tried up to some growth is the same whatever
 * growth is allowed, a looser limit never brings a worse answer.
 *
 * @throws TypeError, RangeError for requests that make no sense (an empty pot, a panel over several grounds, …)
 */
export function correctBatch(request: CorrectionRequest): Correction {
  const full: FullRequest = {
    ...request,
    maxPastes: request.maxPastes ?? 3,
    excluded: request.excluded ?? [],
    maxGrowth: request.maxGrowth ?? 0.5,
    tolerance: request.tolerance ?? 0.5,
    trust: request.trust ?? usualTrust,
    units: request.units ?? request.components.map(() => usualUnit),
  };
  checkCorrection(full);
  const { components, pot, panel, panelFinish, maxGrowth, tolerance } = full;
  const discrepancy = estimateDiscrepancy(components, pot, panelFinish, panel, full, full.trust);
  const match = matchOfPot(full, discrepancy);
  const { forward } = match;
  forward.use([]);
  const nothing = new Float64Array(0);
  const { objective: before, worstGround: worst } = worstOf(forward, nothing);
  // Each light on each ground is an objective by itself, lights innermost.
  const worstGround = Math.floor(worst / match.lights.length);
  const differencesBefore = differencesOf(forward, nothing);
  const potLab = new Float64Array(3 * forward.grounds * match.lights.length);
  forward.labsInto(nothing, potLab);
  const wrong = faults(match.targets[0], potLab.subarray(3 * worstGround * match.lights.length));
  // What additions do is foretold as well as K/S is known: off by that share of the way.
  const doubt = Math.hypot(full.readingDoubt ?? readingDoubt(full), full.trust.ratio * before);
  const aim = full.aim ?? Math.max(leastAim * tolerance, tolerance - doubt);
  const outcome = {
    ...{ before, differencesBefore, tolerance, doubt, aim, discrepancy },
    ...{ alternatives: [], byPours: [], additions: undefined, wayOut: undefined },
  };
  if (before <= tolerance) {
    return { ...outcome, status: "right already", reason: "the pot is within tolerance: add nothing" };
  }

  const ladder = new AdditionLadder(forward, full, volumeShareOfPastes(full), aim);
  const tried = ladder.upTo(maxGrowth);
  const first = bestOf(tried, aim);
  const least = Math.min(...tried.map(({ objective }) => objective));
  const byPours = [1, 2].flatMap((pours) => {
    const best = bestOf(
      tried.filter((way) => way.pours <= pours),
      aim,
    );
    return best && best.objective < before - leastGain && best.pours === pours ? [best] : [];
  });
  const alternatives = first ? others(tried, first, aim) : [];
  const wayOut = first && first.objective <= tolerance ? undefined : wayOutOf(ladder, full);
  const limit = `growth of ${percent(maxGrowth)}`;
  if (!first || least > before - Math.max(leastGain, leastGainShare * before)) {
    const reason = `${wrong}: no addition within a ${limit} helps; ${wayOut ?? newMix}`;
    return { ...outcome, byPours, wayOut, status: "refused", reason };
  }
  if (least > Math.max(goodEnough, tolerance, before / 2)) {
    const reason =
      `${wrong}: additions within a ${limit} would only bring ΔE00 from ${before.toFixed(2)} to ` +
      `${first.objective.toFixed(2)}; ${wayOut ?? newMix}`;
    const ways = [first, ...alternatives].slice(0, otherWays);
    return { ...outcome, byPours, wayOut, status: "refused", alternatives: ways, reason };
  }
  return {
    ...outcome,
    ...{ byPours, wayOut, alternatives },
    status: "corrected",
    additions: first,
    reason:
      first.objective <= aim
        ? `${wrong}; the batch grows by ${percent(first.growth)}`
        : `${wrong}; the batch grows by ${percent(first.growth)}, and ΔE00 ${first.objective.toFixed(2)} is the nearest ` +
          `that a ${limit} allows`,
  };
}

const newMix = "only a new mix does";

/** Ways with other pastes than the proposal, the best of each choice. */
function others(tried: readonly Additions[], first: Additions, aim: number): Additions[] {
  const ofChoice = new Map<string, Additions[]>();
  for (const way of tried) {
    const key = way.pastes.join();
    ofChoice.set(key, [...(ofChoice.get(key) ?? []), way]);
  }
  ofChoice.delete(first.pastes.join());
  return [...ofChoice.values()]
    .map((ways) => bestOf(ways, aim)!)
    .sort((p, q) => Math.max(p.objective, aim) - Math.max(q.objective, aim) || p.growth - q.growth)
    .slice(0, otherWays);
}

/** The least growth that would do, in words; undefined where none does. */
function wayOutOf(ladder: AdditionLadder, { pot, maxGrowth }: FullRequest): string | undefined {
  const needed = ladder.needed();
  if (!needed || needed.growth <= maxGrowth) return undefined;
  const part = (maxGrowth / needed.growth) * sumOf(pot);
  return (
    `with ${percent(needed.growth)} more it comes to ΔE00 ${needed.objective.toFixed(2)}: let the batch grow so far, ` +
    `or put only ${part.toPrecision(2)} mL of the pot right`
  );
}

/**
 * ΔE00 that the reading of the panel may be off by, one standard deviation: the errors of its numbers, taken as independent.
 */
function readingDoubt({ panel, lights, trust }: FullRequest): number {
  const { weights } = lights[0];
  let square = 0;
  if (panel.kind === "lab") {
    for (let i = 0; i < 3; i++) {
      const off = Float64Array.from(panel.Lab);
      off[i] += trust.Lab;
      square += deltaE2000(panel.Lab, off) ** 2;
    }
    return Math.sqrt(square);
  }
  const seen = Float64Array.from(panel.seen);
  const Lab = reflectanceToLab(seen, weights, new Float64Array(3));
  const off = new Float64Array(3);
  for (let k = 0; k < seen.length; k++) {
    seen[k] += trust.reflectance;
    square += deltaE2000(Lab, reflectanceToLab(seen, weights, off)) ** 2;
    seen[k] -= trust.reflectance;
  }
  return Math.sqrt(square);
}

/**
 * The match with the pot as what fills the mix up, binder and pastes being the variables; what the estimate left unexplained
 * is taken off the target.
 */
function matchOfPot(
  { components, target, finish, lights, surface, sheen }: CorrectionRequest,
  { wetAbsorption, wetScattering, volumeSolids, offsets }: Discrepancy,
): PreparedMatch {
  const pot: Component = {
    id: "pot",
    name: "pot",
    role: "base paint",
    density: 1,
    volumeSolids,
    absorption: wetAbsorption.map((a) => a / volumeSolids),
    scattering: wetScattering.map((s) => s / volumeSolids),
    provenance: { kind: "measured" },
  };
  const match = prepareMatch({
    components: [...components, pot],
    binderIndex: components.length,
    limits: { maxLoading: 1 },
    finish,
    target,
    lights,
    surface,
    sheen,
    loading: "free",
  });
  const targets = match.targets.map((Lab, l) => Lab.map((v, i) => v - offsets[l][i]));
  return {
    ...match,
    targets,
    forward: new ForwardModel({ ...match.forward.setting, targets, lightsApart: true }),
  };
}

function checkCorrection({
  components,
  binderIndex,
  pot,
  panel,
  panelFinish,
  lights,
  maxPastes,
  excluded,
  maxGrowth,
  tolerance,
  aim,
  readingDoubt,
  units,
  maxLoading,
}: FullRequest): void {
  ofLength("amounts in the pot", pot, components.length);
  each("amount in the pot", pot, atLeastZero, "mL");
  aboveZero("volume in the pot", sumOf(pot), "mL");
  wholeNumber("index of the binder", binderIndex);
  if (lights.length === 0) throw new RangeError("no light is given: a correction needs at least one");
  if (panelFinish.kind === "coats") {
    aboveZero("wet thickness of the panel", panelFinish.wetThickness, "µm");
    if (panelFinish.grounds.length !== 1) {
      throw new RangeError(`the test panel lies over ${panelFinish.grounds.length} grounds: it must be one`);
    }
  }
  if (panel.kind === "lab") triple("Lab of the panel", panel.Lab);
  else {
    ofLength("spectrum of the panel", panel.seen, components[binderIndex].absorption.length);
    each("reflectance of the panel", panel.seen, (name, value) => within(name, value, -0.1, 2));
  }
  within("greatest number of pastes", maxPastes, 1, 3);
  each("excluded component", excluded, (name, value) => wholeNumber(name, value));
  aboveZero("greatest growth", maxGrowth);
  atLeastZero("tolerance", tolerance);
  if (aim !== undefined) atLeastZero("aim", aim);
  if (readingDoubt !== undefined) atLeastZero("doubt of the reading", readingDoubt);
  ofLength("units", units, components.length);
  units.forEach((unit, j) => {
    if (unit.kind === "grams") aboveZero(`balance step for ${components[j].name}`, unit.step, "g");
    else aboveZero(`drops per mL of ${components[j].name}`, unit.dropsPerMl);
  });
  fraction("greatest loading", maxLoading);
}

function volumeShareOfPastes({ components, pot }: CorrectionRequest): number {
  let pastes = 0;
  for (let j = 0; j < components.length; j++) if (components[j].role === "paste") pastes += pot[j];
  return pastes / sumOf(pot);
}

const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
