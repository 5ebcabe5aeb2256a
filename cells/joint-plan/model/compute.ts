import { blendOf, blendShares } from "../../../src/coating/blend.ts";
import { Eye, type Seen } from "../../../src/coating/eye.ts";
import { groundReflectance } from "../../../src/coating/paintedPart.ts";
import { differenceOf } from "../../../src/colour/difference.ts";
import { XYZToLab } from "../../../src/colour/Lab.ts";
import { reflectanceToXYZ } from "../../../src/colour/XYZ.ts";
import type { ComputeContext } from "../../../src/graph/defineCell.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import { type GroundJob, type GroundPoint, plannedPoint } from "../../../src/ground/job.ts";
import { jointPlanTask } from "../../../src/ground/longTasks.ts";
import { ratioOfShares } from "../../../src/ground/map.ts";
import type { JointPlan, JointPlanRequest, PlanLight } from "../../../src/ground/plan.ts";
import { filmReflectanceInto } from "../../../src/optics/film.ts";
import { commonWet, moreWet } from "../../../src/ports/coatPlan.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { furtherWetOf, type GroundCoverage, groundJobOf, withGround } from "../../../src/ports/groundJob.ts";
import { eyeConditions } from "../../../src/ports/seenTarget.ts";
import { labelOfIlluminant } from "../../../src/tables/illuminants.ts";
import type { KeptPlan, KeptPlans } from "./kept.ts";
import type { Settings } from "./parameters.ts";

/** What a kept plan looks like on every part today. */
export interface PlanPreview {
  readonly parts: readonly { readonly name: string; readonly seen: Seen; readonly difference: number }[];
  readonly worst: number;
}

/** Basecoat, recipe and coats found together, and where the job stands now. */
export interface JointPlans {
  readonly coverage: GroundCoverage;
  readonly isStale: boolean;
  /** In the order of the kept plans; undefined where a component is no longer at hand. */
  readonly previews: readonly (PlanPreview | undefined)[];
  /** Litres and ΔE00 of the job as it is set now. */
  readonly current: { readonly litres: number; readonly difference: number };
  /** Area of the whole job, m². */
  readonly area: number;
}

/** The kept plans as they look today, and the job as it is set. */
export function compute({ coverage: given }: { coverage: Coverage }, p: Settings): JointPlans {
  const coverage = withGround(given);
  const { parts, basecoat, colourCoats, targetSeen } = coverage;
  const area = areaOf(coverage);
  const more = furtherWetOf(colourCoats, parts).more?.mean ?? 0;
  const wet = basecoat.coats * basecoat.wetThickness + commonWet(colourCoats) + more;
  const deltaE = differenceOf("ΔE00");
  return {
    coverage,
    area,
    isStale: p.found !== null && p.found.signature !== planSignature(planRequest(coverage, p)),
    previews: p.found?.plans.map((plan) => previewOf(plan, p.found as KeptPlans, coverage)) ?? [],
    current: {
      litres: (wet * area) / (p.transferEfficiency / 100) / 1000,
      difference: Math.max(...parts.map(({ painted }) => deltaE(targetSeen.Lab, painted.Lab))),
    },
  };
}

function areaOf({ parts }: Coverage): number {
  return parts.reduce((sum, { substrate }) => sum + substrate.area * substrate.count, 0);
}

/** The target in every light; a Lab reading is known in the main light alone. */
function lightsOf({ viewing, targetSeen }: GroundCoverage, otherTolerance: number): PlanLight[] {
  const { reflectance } = targetSeen;
  const others = reflectance
    ? viewing.others
        .filter(({ weight }) => weight > 0)
        .map(({ weights }): PlanLight => {
          const XYZ = reflectanceToXYZ(reflectance, weights, new Float64Array(3));
          return {
            weights,
            target: XYZToLab(XYZ, weights.white, new Float64Array(3)),
            tolerance: otherTolerance,
          };
        })
    : [];
  return [{ weights: viewing.weights, target: targetSeen.Lab, tolerance: viewing.tolerance }, ...others];
}

/** @throws InputError when the limits contradict each other or the recipe has no binder */
function planRequest(coverage: GroundCoverage, p: Settings): JointPlanRequest {
  const { basecoat, recipe, colourCoats, parts, viewing } = coverage;
  const ordered = (least: number, most: number, what: string, field: string) => {
    if (least <= most) return;
    throw new InputError(`At least ${least} ${what}, but at most ${most}`, {
      field,
      wayOut: `Allow at least ${least}`,
    });
  };
  ordered(p.leastBasecoats, p.mostBasecoats, "basecoats", "mostBasecoats");
  ordered(p.leastLight, p.mostLight, "light coats", "mostLight");
  if (p.mostLight + p.mostHeavy === 0) {
    throw new InputError("No colour coat is allowed", {
      field: "mostHeavy",
      wayOut: "Allow at least one light or heavy coat",
    });
  }
  const binderIndex = recipe.components.findIndex(({ role }) => role === "binder");
  if (binderIndex < 0) {
    throw new InputError("The recipe has no binder to fill it up with", {
      field: "coverage",
      wayOut: "Add a binder to the recipe",
    });
  }
  return {
    paints: basecoat.paints,
    components: recipe.components,
    binderIndex,
    amounts: { maxLoading: recipe.maxLoading },
    startVolumes: recipe.volumes,
    substrates: parts.map(({ substrate }) => substrate.internal),
    ...furtherWetOf(colourCoats, parts),
    surface: viewing.surface,
    sheen: viewing.sheen,
    lights: lightsOf(coverage, p.otherTolerance),
    coats: {
      lightWet: colourCoats.lightWet,
      heavyWet: colourCoats.heavyWet,
      basecoatWet: basecoat.wetThickness,
      lightCoats: [p.leastLight, p.mostLight],
      heavyCoats: [0, p.mostHeavy],
      basecoats: [p.leastBasecoats, p.mostBasecoats],
    },
    area: areaOf(coverage),
    transferEfficiency: p.transferEfficiency / 100,
    maxDryBuild: p.maxDryBuild,
    goal: p.goal,
  };
}

/** Where the search began is no part of the question: taking a plan does not make it stale. */
const planSignature = (request: JointPlanRequest) => signatureOf({ ...request, startVolumes: undefined });

/** Find plans, in the form kept in the notebook. */
export async function findPlans(
  given: Coverage | undefined,
  p: Settings,
  context: ComputeContext,
): Promise<KeptPlans> {
  const coverage = withGround(given as Coverage);
  const request = planRequest(coverage, p);
  const { status, plan, front, notes } = await context.run(jointPlanTask, request);
  // The plan that reaches the goal may cost less than the front's plan of the same coats: both are shown.
  const all = front.includes(plan) ? [...front] : [...front.filter((other) => !sameCoats(other, plan)), plan];
  all.sort((a, b) => a.volume - b.volume || b.worst - a.worst);
  // Loaded when first needed, so that the page starts without it.
  const [{ usualSpread }, { ExpectedDifference }] = await Promise.all([
    import("../../../src/ground/spread.ts"),
    import("../../../src/ground/thicknessProof.ts"),
  ]);
  const plans = all.map((one) => {
    const { job, point } = jobOfPlan(one, request, coverage);
    return keptOf(one, request, coverage, new ExpectedDifference(job, usualSpread, point).at(point.ratio));
  });
  return {
    signature: planSignature(request),
    paints: request.paints.map(({ id }) => id),
    lights: request.lights.map(({ weights }) => labelOfIlluminant(weights.illuminant)),
    feasible: status === "converged",
    goal: p.goal,
    best: all.indexOf(plan),
    plans,
    notes: [...notes],
  };
}

const sameCoats = (a: JointPlan, b: JointPlan) =>
  a.basecoats === b.basecoats && a.lightCoats === b.lightCoats && a.heavyCoats === b.heavyCoats;

const round = (value: number, digits = 4): number => Math.round(value * 10 ** digits) / 10 ** digits;

function keptOf(
  plan: JointPlan,
  request: JointPlanRequest,
  coverage: GroundCoverage,
  expected: number,
): KeptPlan {
  const inLights = request.lights.map((_, light) => Math.max(...plan.differences.map((part) => part[light])));
  const worst = plan.differences.findIndex((part) => part[0] === inLights[0]);
  return {
    basecoats: plan.basecoats,
    lightCoats: plan.lightCoats,
    heavyCoats: plan.heavyCoats,
    shares: [...plan.shares].map((share) => round(share)),
    amounts: request.components.map(({ id }, j) => ({ component: id, volume: round(plan.volumes[j]) })),
    worst: round(plan.worst),
    worstPart: coverage.parts[worst].substrate.name,
    inLights: inLights.map((value) => round(value)),
    passes: plan.usedUp <= 1 + 1e-9,
    expected: round(expected),
    basecoatVolume: round(plan.basecoatVolume, 1),
    colourVolume: round(plan.colourVolume, 1),
    cost: plan.cost === undefined ? null : round(plan.cost, 2),
    dryBuild: round(plan.dryBuild, 2),
  };
}

/** A plan as a job, to ask what an uneven hand makes of it: thin plans forgive least, and the tolerances do not say so. */
function jobOfPlan(
  plan: JointPlan,
  request: JointPlanRequest,
  coverage: GroundCoverage,
): { job: GroundJob; point: GroundPoint } {
  const { components, coats } = request;
  const [first, second = 0, third = 0] = plan.shares;
  const { ratio, thirdShare } = ratioOfShares(first, second, third);
  const job = {
    ...groundJobOf(coverage),
    paints: request.paints.slice(0, plan.shares.length),
    basecoatWet: plan.wetBase,
    recipe: { components, volumes: plan.volumes },
    coatWets: [
      ...new Array<number>(plan.lightCoats).fill(coats.lightWet),
      ...new Array<number>(plan.heavyCoats).fill(coats.heavyWet),
    ],
  };
  return { job, point: plannedPoint(job, ratio, thirdShare) };
}

/** Shares of the kept plan for the ratio and third share of the basecoat cell. */
export function blendSettings({ shares }: Pick<KeptPlan, "shares">): { ratio: number; thirdShare: number } {
  const { ratio, thirdShare } = ratioOfShares(shares[0], shares[1] ?? 0, shares[2] ?? 0);
  return { ratio: round(ratio), thirdShare: round(thirdShare) };
}

/** What basecoat, recipe and coat plan must be set to for a plan. */
export function planSettings(
  { basecoat, recipe, colourCoats }: GroundCoverage,
  plan: KeptPlan,
): { id: string; patch: Record<string, unknown> }[] {
  const { ratio, thirdShare } = blendSettings(plan);
  // The pot stays as large as it is.
  const total = recipe.volumes.reduce((sum, volume) => sum + volume, 0);
  const amounts = plan.amounts.map(({ component, volume }) => ({
    component,
    volume: round((volume * total) / 100),
  }));
  const { basecoats, lightCoats, heavyCoats } = plan;
  // Without a basecoat there is no ratio to set.
  const blend = basecoats === 0 ? {} : basecoat.paints.length > 2 ? { ratio, thirdShare } : { ratio };
  return [
    { id: basecoat.cell, patch: { coats: basecoats, ...blend } },
    { id: recipe.cell, patch: { amounts } },
    { id: colourCoats.cell, patch: { lightCoats, heavyCoats } },
  ];
}

function previewOf(plan: KeptPlan, found: KeptPlans, coverage: GroundCoverage): PlanPreview | undefined {
  const { basecoat, recipe, colourCoats, parts, viewing, targetSeen } = coverage;
  const atHand = new Map([...recipe.available, ...recipe.components].map((c) => [c.id, c]));
  const components = plan.amounts.flatMap(({ component }) => atHand.get(component) ?? []);
  const byId = new Map([...basecoat.available, ...basecoat.paints].map((c) => [c.id, c]));
  const paints = found.paints.flatMap((id) => byId.get(id) ?? []);
  if (components.length < plan.amounts.length || paints.length < found.paints.length) return undefined;
  const colour = blendOf(
    components,
    plan.amounts.map(({ volume }) => volume),
  );
  const { ratio, thirdShare } = blendSettings(plan);
  const base = blendOf(paints, blendShares(ratio, thirdShare, paints.length));
  const film = { ...base, dryThickness: plan.basecoats * basecoat.wetThickness * base.mix.volumeSolids };
  const wet = plan.lightCoats * colourCoats.lightWet + plan.heavyCoats * colourCoats.heavyWet;
  const eye = new Eye(eyeConditions(viewing));
  const formula = differenceOf(viewing.formula);
  const internal = new Float64Array(colour.absorption.length);
  let worst = 0;
  const seenParts = parts.map(({ substrate }) => {
    const dry = (wet + moreWet(colourCoats, substrate)) * colour.mix.volumeSolids;
    const under = groundReflectance(substrate.internal, plan.basecoats > 0 ? film : undefined);
    filmReflectanceInto(colour.absorption, colour.scattering, dry, under, internal);
    const seen = eye.see(internal);
    return { name: substrate.name, seen, difference: formula(targetSeen.Lab, seen.Lab) };
  });
  for (let k = 1; k < seenParts.length; k++)
    if (seenParts[k].difference > seenParts[worst].difference) worst = k;
  return { parts: seenParts, worst };
}
