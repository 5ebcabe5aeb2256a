import { dryBuildLimit } from "../coating/thickness.ts";
import { aboveZero, atLeastZero, fraction, ofLength, triple } from "../colour/checks.ts";
import { checkSurface } from "../optics/interface.ts";
import { checkBinder, checkSpectra } from "../recipes/checkComponents.ts";
import type { SplitContext } from "../tasks/longTask.ts";
import { checkMore } from "./job.ts";
import type { JointPlan, JointPlanRequest } from "./plan.ts";
import { PlanSolver } from "./planSolver.ts";
import { checkCoatChoices, coatsOf, planSteps } from "./planSteps.ts";

export interface JointPlanResult {
  readonly status: "converged" | "infeasible";
  /** The plan that reaches the goal; when there is none, the one that comes nearest. */
  readonly plan: JointPlan;
  /** Nearest colour for each volume worth its litres: more volume always buys a smaller difference. */
  readonly front: readonly JointPlan[];
  readonly notes: readonly string[];
}

interface JointPlanPart {
  readonly request: JointPlanRequest;
  readonly basecoats: number;
}

interface JointPlanPartResult {
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
  checkBinder(components, binderIndex);
  if (substrates.length === 0) throw new RangeError("no part is given: at least one is needed");
  if (lights.length === 0) throw new RangeError("no light is given: at least one is needed");
  ofLength("start volumes", startVolumes, components.length);
  const { length } = lights[0].weights.x;
  checkSpectra([...paints, ...components], length);
  for (const substrate of substrates) ofLength("reflectance of a part", substrate, length);
  checkMore(request.more, substrates.length);
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
  context: SplitContext<typeof planPart>,
): Promise<JointPlanResult> {
  checkPlan(request);
  const [least, most] = request.coats.basecoats;
  const parts: JointPlanPart[] = [];
  for (let basecoats = least; basecoats <= most; basecoats++) parts.push({ request, basecoats });
  let done = 0;
  const found = await context.each(planPart, parts, () => {
    done++;
    context.onProgress(done / parts.length, `${done} of ${parts.length} numbers of basecoats`);
  });
  return bestPlan(request, found);
}

/** Choose among what the parts found. @throws RangeError when every way of laying the films is too thick */
function bestPlan(request: JointPlanRequest, found: readonly JointPlanPartResult[]): JointPlanResult {
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
