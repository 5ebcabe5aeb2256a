import type { Component } from "../coating/component.ts";
import { aboveZero, atLeastZero, each, fraction, ofLength, triple } from "../colour/checks.ts";
import { reflectanceToLab } from "../colour/Lab.ts";
import { sumOf } from "../fit/sumOf.ts";
import { keeps, type Limits } from "../fit/trustRegion.ts";
import { checkSurface, type SurfaceConstants } from "../optics/interface.ts";
import { bestRounding } from "./bestRounding.ts";
import { checkBinder, checkSpectra } from "./checkComponents.ts";
import { type RecipeDepths, recipeDepths, tellingDoses, variablesOf } from "./depths.ts";
import type { Finish } from "./finish.ts";
import { ForwardModel, type WeightedLight } from "./forward.ts";
import { linearStart } from "./linearStart.ts";
import { type AmountLimits, fullest, keepWithin } from "./recipeLimits.ts";
import { RuledDescent } from "./ruledDescent.ts";
import { trialPoints } from "./trialPoints.ts";

/** The colour to reach: a spectrum as seen (specular excluded plus sheen), or CIELAB in the first light. */
export type MatchTarget =
  | { readonly kind: "spectrum"; readonly seen: Float64Array }
  | { readonly kind: "lab"; readonly Lab: ArrayLike<number> };

/** Everything about a match but the choice of pastes. */
export interface MatchSetting {
  readonly components: readonly Component[];
  /** The component that fills the mix up. */
  readonly binderIndex: number;
  readonly limits: AmountLimits;
  readonly finish: Finish;
  readonly target: MatchTarget;
  /** The main light first. */
  readonly lights: readonly WeightedLight[];
  readonly surface: SurfaceConstants;
  /** Share of the surface reflection that reaches the eye, 0…1. */
  readonly sheen: number;
  /** Weight of the root mean square difference of reflectance (per cent) beside ΔE00; needs a spectrum. */
  readonly spectralWeight?: number;
  /** Weight of each wavelength in that; all 1 when left out. */
  readonly wavelengthWeights?: Float64Array;
  /**
   * "full" holds the loading at its greatest, "free" leaves it to the match. When left out: full for an opaque film in a clear
   * binder, where a match tells nothing but proportions and the fullest mix hides soonest; free otherwise.
   */
  readonly loading?: "full" | "free";
}

export interface FitRequest extends MatchSetting {
  /** Wet amounts to start from, any unit. */
  readonly startVolumes?: ArrayLike<number>;
  /** A component is left out or given at least this much, mL per 100 mL of mix (the binder may be less); 0 when left out. */
  readonly leastDose?: number;
  /** Doses are whole steps of a balance for so much mix; not rounded when left out. */
  readonly balance?: Balance;
}

export interface Balance {
  /** mL of mix to be weighed. */
  readonly batch: number;
  /** g; 0 rounds nothing. */
  readonly step: number;
}

export type SolveStatus = "converged" | "limit" | "infeasible" | "stopped";

export interface FitResult {
  readonly status: SolveStatus;
  /** mL per 100 mL of mix, one for each component, binder included. */
  readonly volumes: Float64Array;
  /** Σ weight·ΔE00 over the lights, plus the spectral term, on the ground where it is greatest. */
  readonly residual: number;
  /** ΔE00 over each ground (one for an opaque film) in each light. */
  readonly differences: readonly Float64Array[];
  /** Index of the ground that misses most. */
  readonly worstGround: number;
  readonly notes: readonly string[];
}

/** A match made ready for solving: the forward model, what it is compared with, and what to say about it. */
export interface PreparedMatch {
  readonly setting: MatchSetting;
  readonly depths: RecipeDepths;
  readonly forward: ForwardModel;
  readonly lights: readonly WeightedLight[];
  readonly targets: readonly Float64Array[];
  /** The loading is held at its greatest. */
  readonly fullLoading: boolean;
  readonly notes: string[];
}

/**
 * Check a match and lay it out for solving.
 * @throws TypeError, RangeError naming what is missing or wrong
 */
export function prepareMatch(setting: MatchSetting): PreparedMatch {
  const { components, binderIndex, finish, target, surface, sheen, spectralWeight = 0 } = setting;
  const notes: string[] = [];
  if (components.length < 2) {
    throw new RangeError("no paste is selected: a recipe needs a binder and at least one paste");
  }
  if (setting.lights.length === 0) throw new RangeError("no light is given: a match needs at least one");
  if (!target) throw new TypeError("the target is missing");
  checkSurface(surface.externalReflection, surface.internalReflection);
  fraction("sheen", sheen);
  atLeastZero("spectral weight", spectralWeight);
  checkBinder(components, binderIndex);
  const { length } = components[binderIndex].absorption;
  checkSpectra(components, length);
  if (finish.kind === "coats") {
    atLeastZero("wet thickness", finish.wetThickness, "µm");
    if (finish.grounds.length === 0) throw new RangeError("no ground is given under the coats");
    if (finish.builds) {
      ofLength("film builds", finish.builds, finish.grounds.length);
      each("film build", finish.builds, aboveZero);
    }
    for (const ground of finish.grounds) {
      ofLength("ground reflectance", ground, length);
      each("ground reflectance", ground, fraction);
    }
  }
  let lights = setting.lights;
  for (const { weight } of lights) atLeastZero("weight of a light", weight);
  let targets: Float64Array[];
  if (target.kind === "lab") {
    triple("target Lab", target.Lab);
    if (lights.length > 1)
      notes.push("a Lab target tells nothing about other lights; only the main light is matched");
    if (spectralWeight > 0) notes.push("a Lab target has no spectrum; the spectral fit is left out");
    lights = lights.slice(0, 1);
    targets = [Float64Array.from(target.Lab)];
  } else {
    ofLength("target spectrum", target.seen, length);
    targets = lights.map(({ weights }) => reflectanceToLab(target.seen, weights, new Float64Array(3)));
  }
  const depths = recipeDepths(components, binderIndex, finish);
  const forward = new ForwardModel({
    depths,
    finish,
    surface,
    sheen,
    lights,
    targets,
    spectral:
      target.kind === "spectrum" && spectralWeight > 0
        ? { seen: target.seen, weight: spectralWeight, wavelengthWeights: setting.wavelengthWeights }
        : undefined,
  });
  const clear = components[binderIndex].role === "binder";
  const fullLoading = setting.loading ? setting.loading === "full" : finish.kind === "opaque" && clear;
  if (fullLoading && setting.loading === undefined) {
    notes.push(
      "an opaque match fixes only the proportions of the pastes; the loading is taken as great as allowed, which hides soonest",
    );
  }
  return { setting, depths, forward, lights, targets, fullLoading, notes };
}

const smoothings = [1, 0.1, 0.01, 1e-3, 1e-4];
const trials = 96;
const kept = 5;

/**
 * Amounts of the given pastes that come nearest to a target: bounded, with a limit of loading, by Newton steps on the exact
 * derivatives of film, surface, XYZ, CIELAB and ΔE00 from several fixed starts. Never worse than `startVolumes` where these
 * keep the limits. Deterministic.
 *
 * @returns status "infeasible" with a reason in the notes when the limits contradict each other
 * @throws TypeError, RangeError for arguments that make no sense
 */
export function fitAmounts(request: FitRequest): FitResult {
  const match = prepareMatch(request);
  const { depths, forward, notes } = match;
  const { components, limits: amounts, leastDose } = request;
  const descent = new RuledDescent(forward, components, depths, {
    limits: amounts,
    leastDose,
    fullLoading: match.fullLoading,
  });
  if ("reason" in descent.whole) return infeasible(match, descent.whole.reason);
  const ranked = startsOf(match, descent.limits, request.startVolumes)
    .map((x, order) => ({ x, order, value: forward.value(x) }))
    .sort((p, q) => p.value - q.value || p.order - q.order);
  // A start counts as it is only where it keeps the least dose.
  const spread = ranked.map(({ x }) => x);
  const first = ranked.find(({ x }) => descent.keepsLeastDose(x));
  let best = first?.x;
  let bestValue = first?.value ?? Number.POSITIVE_INFINITY;
  let converged = false;
  for (const { x } of chosen(ranked, kept)) {
    const found = descent.from(x, { smoothings, maxIterations: 120 }, bestValue + 1e-12, spread);
    if (
      found &&
      (found.value < bestValue - 1e-12 || (found.value <= bestValue && found.converged && !converged))
    ) {
      best = found.x;
      bestValue = found.value;
      converged = found.converged;
    }
    if (bestValue < 1e-6) break;
  }
  if (!best) return infeasible(match, "no recipe keeps the least doses");
  const rounded = request.balance ? roundedToBalance(match, descent, best, request.balance) : best;
  return resultOf(match, rounded, converged ? "converged" : "limit", notes);
}

/**
 * The recipe in whole steps of a balance that comes nearest to the target among those about it, limits and least dose kept; the
 * recipe itself where no step keeps them.
 *
 * @throws RangeError for a batch that is not above 0, or a step below 0
 */
export function roundedToBalance(
  { setting: { components }, depths, forward }: Pick<PreparedMatch, "setting" | "depths" | "forward">,
  descent: RuledDescent,
  x: Float64Array,
  { batch, step }: Balance,
): Float64Array {
  aboveZero("batch", batch, "mL");
  atLeastZero("step of the balance", step, "g");
  if (step === 0) return x;
  const unit = Float64Array.from(depths.componentOf, (j) => step / components[j].density / batch);
  const ideal = x.map((share, i) => share / unit[i]);
  const used = Array.from(x.keys()).filter((i) => x[i] > 0);
  const { limits } = descent;
  const rounded = new Float64Array(x.length);
  const worth = (steps: Float64Array): number => {
    for (let i = 0; i < x.length; i++) rounded[i] = steps[i] * unit[i];
    // Limits a rounding reaches may be off by less than any step.
    return descent.keepsLeastDose(rounded) && keeps(limits, rounded, 1e-9)
      ? forward.value(rounded)
      : Number.POSITIVE_INFINITY;
  };
  const best = bestRounding(ideal, ideal.map(Math.round), used, -1, worth);
  return Number.isFinite(worth(best)) ? best.map((steps, i) => steps * unit[i]) : x;
}

/** The best starts, and the first of the list (given amounts, linear solutions) even where trial points look better. */
function chosen<T extends { order: number }>(ranked: readonly T[], count: number): T[] {
  return ranked.filter((start, place) => place < count || start.order < 3);
}

function startsOf(
  { setting, depths }: PreparedMatch,
  limits: Limits,
  startVolumes: ArrayLike<number> | undefined,
): Float64Array[] {
  const n = depths.variables;
  const starts: Float64Array[] = [];
  if (startVolumes) {
    ofLength("start volumes", startVolumes, setting.components.length);
    each("start volumes", startVolumes, atLeastZero, "mL");
    if (sumOf(startVolumes) > 0) {
      const x = variablesOf(depths, startVolumes);
      keepWithin(limits, x);
      starts.push(x);
    }
  }
  const { target, surface, sheen, lights } = setting;
  const full = fullest(limits);
  if (target.kind === "spectrum") {
    const { externalReflection: k1, internalReflection: k2 } = surface;
    const internal = target.seen.map((seen) => {
      const left = Math.max(0, seen - sheen * k1);
      return left / ((1 - k1) * (1 - k2) + k2 * left);
    });
    const { x, y, z } = lights[0].weights;
    const rowWeights = Float64Array.from(x, (_, k) => Math.abs(x[k]) + Math.abs(y[k]) + Math.abs(z[k]));
    const most = sumOf(full);
    const least = sumOf(limits.low);
    for (const share of limits.equalities > 0 ? [1] : [1, 0.4]) {
      const sum = least + share * (most - least);
      const start = linearStart(depths, internal, sum, limits.low, limits.high, rowWeights);
      keepWithin(limits, start);
      starts.push(start);
    }
  }
  const telling = tellingDoses(depths, setting.finish.kind === "opaque");
  const points = trialPoints(telling, limits, trials, 7);
  for (let t = 0; t < trials; t++) starts.push(points.slice(t * n, (t + 1) * n));
  starts.push(full);
  return starts;
}

function infeasible(match: PreparedMatch, reason: string): FitResult {
  return {
    status: "infeasible",
    volumes: new Float64Array(match.setting.components.length),
    residual: Number.POSITIVE_INFINITY,
    differences: [],
    worstGround: 0,
    notes: [...match.notes, reason],
  };
}

/** ΔE00 of a recipe over each ground in each light. */
export function differencesOf(forward: ForwardModel, x: Float64Array): Float64Array[] {
  const { length } = forward.setting.lights;
  const all = new Float64Array(forward.grounds * length);
  forward.differencesInto(x, all);
  return Array.from({ length: forward.grounds }, (_, g) => all.slice(g * length, (g + 1) * length));
}

/** The greatest objective of a recipe and the ground it is found on. */
export function worstOf(forward: ForwardModel, x: Float64Array): { objective: number; worstGround: number } {
  const f = new Float64Array(forward.objectives);
  const objective = forward.value(x, f);
  return { objective, worstGround: f.indexOf(objective) };
}

/** mL per 100 mL of every component from the solver's variables. */
export function volumesOf(
  { componentOf, binderIndex }: RecipeDepths,
  x: Float64Array,
  used?: Int32Array,
): Float64Array {
  const volumes = new Float64Array(componentOf.length + 1);
  let rest = 100;
  for (let i = 0; i < x.length; i++) {
    const volume = 100 * x[i];
    volumes[componentOf[used ? used[i] : i]] = volume;
    rest -= volume;
  }
  volumes[binderIndex] = Math.max(0, rest);
  return volumes;
}

function resultOf(
  match: PreparedMatch,
  x: Float64Array,
  status: SolveStatus,
  notes: readonly string[],
): FitResult {
  const { forward, depths } = match;
  const { objective, worstGround } = worstOf(forward, x);
  const all = [...notes];
  if (x.every((share) => share < 1e-9)) all.push("the best match found uses no paste at all");
  return {
    status,
    volumes: volumesOf(depths, x),
    residual: objective,
    differences: differencesOf(forward, x),
    worstGround,
    notes: all,
  };
}
