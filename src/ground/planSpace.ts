import { dryBuildLimit } from "../coating/thickness.ts";
import { keeps, type Limits, limitsOf } from "../fit/trustRegion.ts";
import { type RecipeDepths, recipeDepths } from "../recipes/depths.ts";
import { recipeLimits } from "../recipes/recipeLimits.ts";
import type { JointPlan, JointPlanRequest } from "./plan.ts";
import type { PlanStep } from "./planSteps.ts";

/**
 * What may be chosen for given coats: the shares of all base paints but the first (none without basecoats),
 * then the wet shares of all components of the colour but the binder.
 */
export class PlanSpace {
  readonly request: JointPlanRequest;
  /** Base paints in use. */
  readonly paints: JointPlanRequest["paints"];
  readonly baseVariables: number;
  /** Blends spread over what the base paints allow: shares of all but the first. */
  readonly blends: readonly (readonly number[])[];
  /** mL to be mixed for each µm of wet film over the whole job (1 m² · 1 µm = 1 mL). */
  readonly perMicrometre: number;

  constructor(request: JointPlanRequest, basecoats: number) {
    this.request = request;
    this.paints = basecoats > 0 ? request.paints : request.paints.slice(0, 1);
    this.baseVariables = this.paints.length - 1;
    this.blends = blendsOf[this.baseVariables];
    this.perMicrometre = request.area / request.transferEfficiency;
  }

  depths(step: PlanStep): { basecoat: RecipeDepths; depths: RecipeDepths } {
    const { components, binderIndex } = this.request;
    return {
      basecoat: recipeDepths(this.paints, 0, step.wetBase),
      depths: recipeDepths(components, binderIndex, step.wetColour),
    };
  }

  /** Wet colour of given coats where it is thickest, µm, and on average over the surface. */
  thickestColour({ wetColour }: PlanStep): number {
    return wetColour + Math.max(0, ...Array.from(this.request.more?.wets ?? []));
  }

  meanColour({ wetColour }: PlanStep): number {
    return wetColour + (this.request.more?.mean ?? 0);
  }

  /**
   * Limits of blend, recipe and dry film; undefined when the films are too thick whatever they hold.
   * @throws RangeError when the amounts contradict each other
   */
  limits(step: PlanStep): Limits | undefined {
    const { components, binderIndex, amounts, maxDryBuild = dryBuildLimit } = this.request;
    const { paints, baseVariables: nb } = this;
    const { depths: colour } = this.depths(step);
    const found = recipeLimits(components, colour, amounts);
    if ("reason" in found) throw new RangeError(found.reason);
    const recipe = found.limits;
    const n = nb + colour.variables;
    const rows: { a: Float64Array; b: number }[] = [];
    for (let r = 0; r < recipe.b.length; r++) {
      const a = new Float64Array(n);
      a.set(recipe.a.subarray(r * colour.variables, (r + 1) * colour.variables), nb);
      rows.push({ a, b: recipe.b[r] });
    }
    if (nb > 1) rows.push({ a: Float64Array.from({ length: n }, (_, i) => (i < nb ? 1 : 0)), b: 1 });
    // The dry film: every wet thickness times the volume solids of what is in it.
    const binder = components[binderIndex].volumeSolids;
    const wetColour = this.thickestColour(step);
    const dry = new Float64Array(n);
    for (let i = 0; i < nb; i++) {
      dry[i] = step.wetBase * (paints[i + 1].volumeSolids - paints[0].volumeSolids);
    }
    colour.componentOf.forEach((j, i) => {
      dry[nb + i] = wetColour * (components[j].volumeSolids - binder);
    });
    rows.push({ a: dry, b: maxDryBuild - step.wetBase * paints[0].volumeSolids - wetColour * binder });
    const low = Float64Array.from([...new Array<number>(nb).fill(0), ...recipe.low]);
    const high = Float64Array.from([...new Array<number>(nb).fill(1), ...recipe.high]);
    const limits = limitsOf(low, high, rows);
    return this.leanest(limits).length > 0 ? limits : undefined;
  }

  /** The least amounts over every blend that keeps the limits. */
  leanest(limits: Limits): Float64Array[] {
    return this.blends
      .map((blend) => Float64Array.from([...blend, ...limits.low.subarray(this.baseVariables)]))
      .filter((x) => keeps(limits, x));
  }

  /** Price of one unit of each variable for the whole job; undefined when a component has none. */
  prices(step: PlanStep): Float64Array | undefined {
    const { components, binderIndex } = this.request;
    const of = (parts: JointPlanRequest["paints"], first: number, wet: number): number[] =>
      parts
        .filter((_, j) => j !== first)
        .map(
          ({ costPerMl }) =>
            wet * this.perMicrometre * ((costPerMl ?? Number.NaN) - (parts[first].costPerMl ?? Number.NaN)),
        );
    const prices = [
      ...of(this.paints, 0, step.wetBase),
      ...of(components, binderIndex, this.meanColour(step)),
    ];
    return prices.some(Number.isNaN) ? undefined : Float64Array.from(prices);
  }

  variablesOf({ shares, volumes }: JointPlan): Float64Array {
    return Float64Array.from([
      ...shares.subarray(1, 1 + this.baseVariables),
      ...Array.from(volumes, (volume) => volume / 100).filter((_, j) => j !== this.request.binderIndex),
    ]);
  }
}

const blendsOf: readonly (readonly number[])[][] = [
  [[]],
  [[0], [0.2], [0.4], [0.6], [0.8], [1]],
  [
    [0, 0],
    [1, 0],
    [0, 1],
    [0.5, 0],
    [0, 0.5],
    [0.5, 0.5],
    [0.33, 0.33],
  ],
];
