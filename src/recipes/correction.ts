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
import { sumOf } from "../fit/sumOf.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { AdditionSolver, type Way } from "./additionSolver.ts";
import { type Discrepancy, estimateDiscrepancy, type PanelReading, type Trust } from "./discrepancy.ts";
import { faults } from "./faults.ts";
import { differencesOf, type MatchTarget, type PreparedMatch, prepareMatch, worstOf } from "./fitAmounts.ts";
import { type Finish, ForwardModel, type WeightedLight } from "./forward.ts";
import { subsetsOfSize } from "./subsets.ts";

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
  /** Good enough as it is: objective in ΔE00; 0.5 when left out. */
  readonly tolerance?: number;
  /** What a correction aims at, objective in ΔE00; 0.1 when left out. */
  readonly aim?: number;
  readonly trust?: Trust;
}

type FullRequest = CorrectionRequest &
  Required<Pick<CorrectionRequest, "maxPastes" | "excluded" | "maxGrowth" | "tolerance" | "aim">>;

/** One way to correct a pot. */
export interface Additions {
  /** mL of each component to add, ≥ 0. */
  readonly volumes: Float64Array;
  /** Pastes among them, by index. */
  readonly pastes: readonly number[];
  /** Added volume over the volume in the pot. */
  readonly growth: number;
  /** Expected objective (weighted ΔE00, worst ground) and ΔE00 over each ground in each light. */
  readonly objective: number;
  readonly differences: readonly Float64Array[];
}

export interface Correction {
  readonly status: "corrected" | "right already" | "refused";
  /** Expected objective without additions, by the corrected model, and ΔE00 over each ground in each light. */
  readonly before: number;
  readonly differencesBefore: readonly Float64Array[];
  /** The proposal; none when refused or right already. A refusal for too little gain still lists ways as alternatives. */
  readonly additions: Additions | undefined;
  /** Other ways, each with other pastes. */
  readonly alternatives: readonly Additions[];
  readonly discrepancy: Discrepancy;
  /** In words: what is wrong with the pot, and why nothing is proposed if so. */
  readonly reason: string;
}

/** An expected gain below this share of the difference, or below this ΔE00, is not worth a correction … */
const leastGainShare = 0.15;
const leastGain = 0.1;
/** … and each doubling of the batch must gain this much more: a tenth more batch 0.4. */
const gainForGrowth = 4;
/** Additions that neither halve the difference nor bring it below this ΔE00 are no way out of a bad pot. */
const goodEnough = 1;
/** Beyond the best that can be reached, this much ΔE00 is given away for smaller additions. */
const giveAway = 0.05;
/** Share of the pot that one more paste must save to be worth adding. */
const pasteWorth = 0.01;
const otherWays = 4;
/** For each number of pastes, the choices nearest to small additions that are worked out to the end. */
const workedOut = 10;

/**
 * The smallest additions, never removals, that bring a mixed pot on target.
 *
 * The pot as it really is is estimated from the test panel; then, for every choice of up to three pastes and the binder, the
 * mix of pot and additions is optimised: first for the least difference, then for the least addition that comes within the
 * tolerance, or within a little of the best that can be reached.
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
    aim: request.aim ?? 0.1,
  };
  checkCorrection(full);
  const { components, pot, panel, panelFinish, maxGrowth, tolerance, aim } = full;
  const discrepancy = estimateDiscrepancy(components, pot, panelFinish, panel, full, full.trust);
  const match = matchOfPot(full, discrepancy);
  const { forward } = match;
  forward.use([]);
  const nothing = new Float64Array(0);
  const { objective: before, worstGround } = worstOf(forward, nothing);
  const differencesBefore = differencesOf(forward, nothing);
  const potLab = new Float64Array(3 * forward.grounds * match.lights.length);
  forward.labsInto(nothing, potLab);
  const wrong = faults(match.targets[0], potLab.subarray(3 * worstGround * match.lights.length));
  const outcome = { before, differencesBefore, alternatives: [], additions: undefined, discrepancy };
  if (before <= tolerance) {
    return { ...outcome, status: "right already", reason: "the pot is within tolerance: add nothing" };
  }

  const solver = new AdditionSolver(forward, full, volumeShareOfPastes(full));
  const solved = closestWays(solver, full);
  const reachable = Math.min(...solved.map(({ value }) => value));
  if (reachable > before - Math.max(leastGain, leastGainShare * before)) {
    return { ...outcome, status: "refused", reason: `${wrong}: no addition helps; only a new mix does` };
  }
  const within = Math.max(aim, reachable + giveAway);
  const near: Way[] = [];
  for (let size = 0; size <= full.maxPastes; size++) {
    const ofSize = solved.filter(({ variables, value }) => variables.length === size + 1 && value <= within);
    near.push(...ofSize.sort((p, q) => sumOf(p.x) - sumOf(q.x)).slice(0, workedOut));
  }
  const worth = ({ growth, pastes }: Additions): number => growth + pasteWorth * pastes.length;
  const ways = near
    .map((start) => solver.smallest(start, within, maxGrowth))
    .filter(({ value }) => value <= within + 0.02)
    .map((way) => additionsOf(way, forward, full))
    .sort((p, q) => worth(p) - worth(q) || p.objective - q.objective);
  const isFirst = ({ pastes }: Additions, place: number): boolean =>
    ways.findIndex((way) => way.pastes.join() === pastes.join()) === place;
  const distinct = ways.filter(isFirst);
  const [first] = distinct;
  if (first.objective > Math.max(goodEnough, before / 2)) {
    const reason =
      `${wrong}: additions would only bring ΔE00 from ${before.toFixed(2)} to ${first.objective.toFixed(2)}; ` +
      "only a new mix helps";
    return { ...outcome, status: "refused", alternatives: distinct.slice(0, otherWays), reason };
  }
  if (before - first.objective < leastGain + gainForGrowth * first.growth) {
    const reason =
      `${wrong}: the best additions would make the batch grow by ${percent(first.growth)} ` +
      `to bring ΔE00 from ${before.toFixed(2)} to ${first.objective.toFixed(2)}, which is not worth it`;
    return { ...outcome, status: "refused", alternatives: distinct.slice(0, otherWays), reason };
  }
  return {
    ...outcome,
    status: "corrected",
    additions: first,
    alternatives: distinct.slice(1, 1 + otherWays),
    reason: `${wrong}; the batch grows by ${percent(first.growth)}`,
  };
}

/** The closest additions of every choice of pastes, by number of pastes. */
function closestWays(
  solver: AdditionSolver,
  { components, binderIndex, excluded, maxPastes, maxGrowth, aim }: FullRequest,
): Way[] {
  const pastes = Array.from(components.keys()).filter((j) => j !== binderIndex && !excluded.includes(j));
  const solved: Way[] = [solver.closest([], maxGrowth, aim)];
  for (let size = 1; size <= Math.min(maxPastes, pastes.length); size++) {
    // A choice with a few drops in it that does already cannot be beaten by one paste more.
    const done = solved.filter(({ x, value }) => value <= aim && sumOf(x) < pasteWorth);
    const packed = subsetsOfSize({ candidates: pastes, required: [], maxPastes }, size);
    for (let at = 0; at < packed.length; at += size) {
      const choice = packed.subarray(at, at + size);
      if (done.some(({ variables }) => variables.every((j) => j === binderIndex || choice.includes(j))))
        continue;
      solved.push(solver.closest([...choice], maxGrowth, aim));
    }
  }
  return solved;
}

/** What a way adds to the pot. */
function additionsOf(way: Way, forward: ForwardModel, { pot, binderIndex }: FullRequest): Additions {
  const used = way.variables.filter((_, i) => way.x[i] > 1e-9);
  const x = way.x.filter((share) => share > 1e-9);
  const rest = 1 - sumOf(x);
  const volumes = new Float64Array(pot.length);
  used.forEach((j, i) => {
    volumes[j] = (x[i] / rest) * sumOf(pot);
  });
  forward.use(used);
  return {
    volumes,
    pastes: used.filter((j) => j !== binderIndex),
    growth: sumOf(x) / rest,
    objective: way.value,
    differences: differencesOf(forward, x),
  };
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
  return { ...match, targets, forward: new ForwardModel({ ...match.forward.setting, targets }) };
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
  atLeastZero("aim", aim);
  fraction("greatest loading", maxLoading);
}

function volumeShareOfPastes({ components, pot }: CorrectionRequest): number {
  let pastes = 0;
  for (let j = 0; j < components.length; j++) if (components[j].role === "paste") pastes += pot[j];
  return pastes / sumOf(pot);
}

const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
