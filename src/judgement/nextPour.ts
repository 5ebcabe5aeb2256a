import type { Component } from "../coating/component.ts";
import { mixFilmInto, mixOf } from "../coating/mix.ts";
import { atLeastZero, each, ofLength } from "../colour/checks.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import { sumOf } from "../fit/sumOf.ts";
import type { SurfaceConstants } from "../optics/interface.ts";
import { AdditionSolver } from "../recipes/additionSolver.ts";
import { recipeDepths } from "../recipes/depths.ts";
import type { Finish } from "../recipes/finish.ts";
import { fitAmounts, type MatchSetting, prepareMatch } from "../recipes/fitAmounts.ts";
import { ForwardModel } from "../recipes/forward.ts";
import { subsetsOfSize } from "../recipes/subsets.ts";
import { bestWorth, PanelJudge, type PanelWorth } from "./panelWorth.ts";
import type { ReferenceCloud } from "./referenceCloud.ts";

/** What panels are poured from, on what, and how they are looked at. */
export interface PanelPaint {
  readonly components: readonly Component[];
  readonly binderIndex: number;
  /** Opaque, or coats over one ground. */
  readonly finish: Finish;
  readonly weights: TristimulusWeights;
  readonly surface: SurfaceConstants;
  /** Share of the surface reflection that reaches the eye, 0…1. */
  readonly sheen: number;
  /** Greatest share of pastes in the wet mix, 0…1. */
  readonly maxLoading: number;
}

/** A panel that could be poured next. */
export interface Pour extends PanelWorth {
  readonly kind: "addition" | "test mix";
  /** Additions: mL of each component into the pot. Test mix: mL of each per 100 mL. */
  readonly volumes: Float64Array;
  /** CIELAB of the panel by the film model. */
  readonly Lab: Float64Array;
}

export interface NextPour {
  readonly best: Pour & { readonly why: "bet" | "tells most" };
  /** All that were weighed up, the best chance of a match first. */
  readonly pours: readonly Pour[];
}

/** Greatest growth of the pot by one addition, as a share of what is in it. */
const maxGrowth = 0.5;
/** At most so many pastes in one addition: what is judged next should not depend on too many doses. */
const mostPastes = 2;
/** With more pastes than this to choose from, an addition is of one alone. */
const manyPastes = 7;
/** An addition is taken before a fresh test mix whose chance of a match is at most this much greater: it wastes nothing. */
const wasteWorth = 0.05;

/**
 * CIELAB of a panel of a mix.
 * @param volumes mL of each component, any total above 0
 * @throws RangeError for an empty mix
 */
export function panelLab(paint: PanelPaint, volumes: ArrayLike<number>): Float64Array {
  const { components, binderIndex, finish, surface, sheen, weights } = paint;
  ofLength("amounts of a panel", volumes, components.length);
  each("amount of a panel", volumes, atLeastZero, "mL");
  const total = sumOf(volumes);
  if (!(total > 0))
    throw new RangeError("nothing was poured: the amounts of a panel must sum to more than 0 mL");
  const depths = recipeDepths(components, binderIndex, finish);
  const targets = [[50, 0, 0]];
  const forward = new ForwardModel({
    depths,
    finish,
    surface,
    sheen,
    lights: [{ weights, weight: 1 }],
    targets,
  });
  const labs = new Float64Array(3 * forward.grounds);
  forward.labsInto(
    Float64Array.from(depths.componentOf, (j) => volumes[j] / total),
    labs,
  );
  return labs.slice(0, 3);
}

/**
 * What to pour next: additions to the pot (never taking out) and fresh test mixes that aim at the middle of the cloud, each
 * with its chance that the eye cannot tell it from the reference, and what it would tell.
 *
 * @param last amounts of the last panel, which the search for a test mix starts from
 * @param pot mL of each component in the pot, where there is one to add to
 * @param usable components that may be poured, by index; all when left out
 * @returns undefined when nothing that is allowed changes anything
 */
export function nextPour(
  paint: PanelPaint,
  cloud: Pick<ReferenceCloud, "points" | "weights" | "Lab">,
  { last, pot, mix: fresh = true, usable, doubt }: NextPourOptions,
): NextPour | undefined {
  const judge = new PanelJudge(cloud);
  const pours: Pour[] = [];
  const mix = fresh ? testMix(paint, cloud.Lab.mean, last, usable) : undefined;
  if (mix) {
    const Lab = panelLab(paint, mix);
    pours.push({ kind: "test mix", volumes: mix, Lab, ...judge.worth(Lab, doubt) });
  }
  if (pot && sumOf(pot) > 0) {
    for (const volumes of additions(paint, cloud.Lab.mean, pot, usable)) {
      const Lab = panelLab(
        paint,
        volumes.map((v, j) => v + pot[j]),
      );
      pours.push({ kind: "addition", volumes, Lab, ...judge.worth(Lab, doubt) });
    }
  }
  if (pours.length === 0) return undefined;
  pours.sort((p, q) => q.matchChance - p.matchChance);
  const best = bestWorth(pours);
  const spared = pours.find(({ kind }) => kind === "addition");
  const instead =
    best.why === "bet" && spared && spared.matchChance >= best.matchChance - wasteWorth
      ? { ...spared, why: best.why }
      : best;
  return { best: instead, pours };
}

interface NextPourOptions {
  readonly last: ArrayLike<number>;
  readonly pot?: Float64Array;
  /** Whether a fresh test mix is thought of; it is when left out. */
  readonly mix?: boolean;
  readonly usable?: readonly number[];
  readonly doubt?: number;
}

/** The mix whose panel comes nearest to a colour; none when the limits allow none. */
function testMix(
  paint: PanelPaint,
  Lab: Float64Array,
  last: ArrayLike<number>,
  usable: readonly number[] | undefined,
): Float64Array | undefined {
  const max = paint.components.map((_, j) =>
    usable === undefined || usable.includes(j) || j === paint.binderIndex ? 100 : 0,
  );
  const setting = matchSetting(paint, Lab);
  const startVolumes = Float64Array.from(max, (most, j) => (most > 0 ? last[j] : 0));
  const fit = fitAmounts({ ...setting, limits: { ...setting.limits, max }, startVolumes });
  return fit.status === "infeasible" ? undefined : fit.volumes;
}

/** Additions to the pot that come nearest to a colour, one for each choice of a few pastes and the binder. */
function additions(
  paint: PanelPaint,
  Lab: Float64Array,
  pot: Float64Array,
  usable: readonly number[] | undefined,
): Float64Array[] {
  const { components, binderIndex } = paint;
  const volume = sumOf(pot);
  const inPot = potComponent(components, pot);
  const { forward } = prepareMatch({
    ...matchSetting(paint, Lab),
    components: [...components, inPot],
    binderIndex: components.length,
    limits: { maxLoading: 1 },
    loading: "free",
  });
  const pastes = components
    .map((_, j) => j)
    .filter((j) => j !== binderIndex && (usable?.includes(j) ?? true));
  const loading = sumOf(pot.filter((_, j) => components[j].role === "paste")) / volume;
  const solver = new AdditionSolver(forward, paint, loading);
  const found: Float64Array[] = [];
  const most = pastes.length > manyPastes ? 1 : Math.min(mostPastes, pastes.length);
  for (let size = 1; size <= most; size++) {
    const packed = subsetsOfSize({ candidates: pastes, required: [], maxPastes: mostPastes }, size);
    for (let k = 0; k < packed.length / size; k++) {
      const choice = packed.subarray(k * size, (k + 1) * size);
      const { variables, x } = solver.closest([...choice, binderIndex], maxGrowth);
      const stays = 1 - sumOf(x);
      const volumes = new Float64Array(components.length);
      variables.forEach((j, i) => {
        volumes[j] = (x[i] / stays) * volume;
      });
      if (sumOf(volumes) > 1e-6 * volume) found.push(volumes);
    }
  }
  return found;
}

function matchSetting(paint: PanelPaint, Lab: Float64Array): MatchSetting {
  const { components, binderIndex, finish, weights, surface, sheen, maxLoading } = paint;
  return {
    components,
    binderIndex,
    finish,
    surface,
    sheen,
    limits: { maxLoading },
    target: { kind: "lab", Lab },
    lights: [{ weights, weight: 1 }],
  };
}

/** The pot as one component of its own. */
function potComponent(components: readonly Component[], pot: ArrayLike<number>): Component {
  const { dryFractions, density, volumeSolids } = mixOf(components, pot);
  const absorption = new Float64Array(components[0].absorption.length);
  const scattering = new Float64Array(absorption.length);
  mixFilmInto(components, dryFractions, absorption, scattering);
  const provenance = { kind: "measured" } as const;
  return {
    id: "pot",
    name: "pot",
    role: "base paint",
    density,
    volumeSolids,
    absorption,
    scattering,
    provenance,
  };
}
