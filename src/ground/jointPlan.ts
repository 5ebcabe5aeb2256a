import type { Component } from "../coating/component.ts";
import { dryBuildLimit } from "../coating/thickness.ts";
import { aboveZero, atLeastZero, fraction, ofLength, triple, wholeNumber } from "../colour/checks.ts";
import type { TristimulusWeights } from "../colour/weights.ts";
import type { TaskContext } from "../fit/taskTypes.ts";
import { checkSurface, type SurfaceConstants } from "../optics/interface.ts";
import type { AmountLimits } from "../recipes/recipeLimits.ts";
import { PlanSolver } from "./planSolver.ts";
import { type CoatChoices, checkCoatChoices, coatsOf, type PlanStep, planSteps } from "./planSteps.ts";

/** A light, the target as seen in it, and the ΔE00 that passes there. */
export interface PlanLight {
  readonly weights: TristimulusWeights;
  readonly target: ArrayLike<number>;
  readonly tolerance: number;
}

/** Basecoat, recipe and coats to be found together. Plain data, so that it can be sent to a worker. */
export interface JointPlanRequest {
  /** One to three base paints. */
  readonly paints: readonly Component[];
  /** What the colour may hold; one of them fills it up. */
  readonly components: readonly Component[];
  readonly binderIndex: number;
  readonly amounts: AmountLimits;
  /** A recipe to start from, any unit. */
  readonly startVolumes: ArrayLike<number>;
  /** Internal reflectance of every part on the working grid. */
  readonly substrates: readonly Float64Array[];
  readonly surface: SurfaceConstants;
  readonly sheen: number;
  /** The main light first. */
  readonly lights: readonly PlanLight[];
  readonly coats: CoatChoices;
  /** Area of the whole job, m². */
  readonly area: number;
  /** Share of the sprayed coating that ends up on the parts, above 0, up to 1. */
  readonly transferEfficiency: number;
  /**
   * Greatest dry film of basecoat and colour together, µm; 60 when left out (common practice: thicker films
   * crack).
   */
  readonly maxDryBuild?: number;
  readonly goal: "volume" | "cost";
}

/** A way of doing the whole job. */
export interface JointPlan extends PlanStep {
  /** Share of each base paint in the wet basecoat. */
  readonly shares: Float64Array;
  /** mL of each component in 100 mL of the colour. */
  readonly volumes: Float64Array;
  /** ΔE00 of each part (outer) in each light. */
  readonly differences: readonly Float64Array[];
  /** Greatest ΔE00 in the main light. */
  readonly worst: number;
  /** Greatest share of its tolerance that any part uses up in any light; 1 or less passes. */
  readonly usedUp: number;
  /** Basecoat and colour to be mixed, mL, losses included. */
  readonly basecoatVolume: number;
  readonly colourVolume: number;
  readonly volume: number;
  /** Undefined when a component in use has no price. */
  readonly cost: number | undefined;
  /** Dry film of basecoat and colour, µm. */
  readonly dryBuild: number;
}

export interface JointPlanResult {
  readonly status: "converged" | "infeasible";
  /** The plan that reaches the goal; when there is none, the one that comes nearest. */
  readonly plan: JointPlan;
  /** Nearest colour for each volume worth its litres: more volume always buys a smaller difference. */
  readonly front: readonly JointPlan[];
  readonly notes: readonly string[];
}

export interface JointPlanPart {
  readonly request: JointPlanRequest;
  readonly basecoats: number;
}

export interface JointPlanPartResult {
  /** The nearest colour of each step. */
  readonly nearest: readonly JointPlan[];
  /** The least cost of each step that can pass, when cost is the goal. */
  readonly cheapest: readonly JointPlan[];
}

/** @throws RangeError, TypeError for a request that makes no sense */
export function checkPlan(request: JointPlanRequest): void {
  const { paints, components, binderIndex, lights, substrates, startVolumes } = request;
  if (paints.length < 1 || paints.length > 3) {
    throw new RangeError(`base paints = ${paints.length}: one to three can be blended`);
  }
  if (components.length < 2) throw new RangeError("the colour needs a binder and at least one paste");
  wholeNumber("index of the binder", binderIndex);
  if (binderIndex >= components.length) {
    throw new RangeError(`index of the binder = ${binderIndex}: must be below ${components.length}`);
  }
  if (substrates.length === 0) throw new RangeError("no part is given: at least one is needed");
  if (lights.length === 0) throw new RangeError("no light is given: at least one is needed");
  ofLength("start volumes", startVolumes, components.length);
  const { length } = lights[0].weights.x;
  for (const { name, absorption, scattering } of [...paints, ...components]) {
    ofLength(`absorption of ${name}`, absorption, length);
    ofLength(`scattering of ${name}`, scattering, length);
  }
  for (const substrate of substrates) ofLength("reflectance of a part", substrate, length);
  for (const { target, tolerance } of lights) {
    triple("target Lab", target);
    aboveZero("tolerance", tolerance);
  }
  checkSurface(request.surface.externalReflection, request.surface.internalReflection);
  fraction("sheen", request.sheen);
  checkCoatChoices(request.coats);
  aboveZero("area", request.area, "m²");
  aboveZero("transfer efficiency", request.transferEfficiency);
  fraction("transfer efficiency", request.transferEfficiency);
  atLeastZero("greatest dry build", request.maxDryBuild ?? dryBuildLimit, "µm");
}

/** All steps with one number of basecoats, each started from the one before it. */
export function planPart({ request, basecoats }: JointPlanPart): JointPlanPartResult {
  const solver = new PlanSolver(request, basecoats);
  const nearest: JointPlan[] = [];
  const cheapest: JointPlan[] = [];
  for (const step of planSteps(request.coats, basecoats)) {
    const plan = solver.nearest(step);
    if (!plan) continue;
    nearest.push(plan);
    if (request.goal === "cost" && plan.usedUp <= 1) cheapest.push(solver.cheapest(step, plan));
  }
  return { nearest, cheapest };
}

/**
 * Basecoat ratio, recipe and coats together: least wet volume, or least cost, subject to the worst part's
 * ΔE00 in every light within that light's tolerance; and for each volume the nearest colour.
 *
 * Coats are whole, so every number of them is tried; for each the blend and the recipe are found by Newton
 * steps on exact derivatives of the greatest difference over parts and lights, from many starts.
 *
 * @throws RangeError, TypeError for a request that makes no sense
 */
export async function jointPlan(
  request: JointPlanRequest,
  context: Pick<TaskContext, "each" | "onProgress">,
): Promise<JointPlanResult> {
  checkPlan(request);
  const [least, most] = request.coats.basecoats;
  const parts: JointPlanPart[] = [];
  for (let basecoats = least; basecoats <= most; basecoats++) parts.push({ request, basecoats });
  let done = 0;
  const found = await context.each<JointPlanPartResult>("joint-plan-part", parts, () => {
    done++;
    context.onProgress(done / parts.length, `${done} of ${parts.length} numbers of basecoats`);
  });
  return bestPlan(request, found);
}

/** Choose among what the parts found. @throws RangeError when every way of laying the films is too thick */
export function bestPlan(request: JointPlanRequest, found: readonly JointPlanPartResult[]): JointPlanResult {
  const nearest = found.flatMap((part) => part.nearest);
  const cheapest = found.flatMap((part) => part.cheapest);
  const notes: string[] = [];
  if (nearest.length === 0) {
    throw new RangeError(
      `every allowed number of coats builds more than ${request.maxDryBuild ?? dryBuildLimit} µm of dry film: allow fewer`,
    );
  }
  const front = frontOf(nearest);
  const passing = nearest.filter((plan) => plan.usedUp <= 1);
  if (passing.length === 0) {
    const plan = nearest.reduce((best, other) => (other.usedUp < best.usedUp ? other : best));
    notes.push(
      `no allowed plan brings every part within the tolerances; the nearest leaves ΔE00 ${plan.worst.toFixed(2)}`,
    );
    return { status: "infeasible", plan, front, notes };
  }
  let plan = passing.reduce((best, other) => (isLess(other, best) ? other : best));
  if (request.goal === "cost") {
    const priced = cheapest.filter(({ cost }) => cost !== undefined);
    if (priced.length > 0) plan = priced.reduce((best, other) => (other.cost! < best.cost! ? other : best));
    else notes.push("a component has no price: the plan of least volume is shown instead of the cheapest");
  }
  return { status: "converged", plan, front, notes };
}

function isLess(p: JointPlan, q: JointPlan): boolean {
  if (Math.abs(p.volume - q.volume) > 1e-9 * q.volume) return p.volume < q.volume;
  if (coatsOf(p) !== coatsOf(q)) return coatsOf(p) < coatsOf(q);
  return p.usedUp < q.usedUp;
}

/** Plans that are nearer than every plan of no more volume. */
function frontOf(plans: readonly JointPlan[]): JointPlan[] {
  const ordered = [...plans].sort((p, q) => p.volume - q.volume || p.usedUp - q.usedUp);
  const front: JointPlan[] = [];
  for (const plan of ordered) {
    if (front.length === 0 || plan.usedUp < front[front.length - 1].usedUp - 1e-6) front.push(plan);
  }
  return front;
}
