import { sumOf } from "../fit/sumOf.ts";
import { Descender, keeps, type Limits } from "../fit/trustRegion.ts";
import { costOf } from "../recipes/costOf.ts";
import { coatsOver } from "../recipes/finish.ts";
import { differencesOf, volumesOf } from "../recipes/fitAmounts.ts";
import { ForwardModel } from "../recipes/forward.ts";
import type { JointPlan, JointPlanRequest } from "./plan.ts";
import { PlanSpace } from "./planSpace.ts";
import { fittedStarts, spreadStarts } from "./planStarts.ts";
import type { PlanStep } from "./planSteps.ts";

const options = { smoothings: [1, 0.1, 0.01, 1e-3, 1e-4], maxIterations: 120 };
/** The best starts that are worked on whatever their blend. */
const kept = 3;
/** The least cost is looked for to this share of it. */
const costPrecision = 1e-3;

/** Finds blend and recipe for given coats. Every step starts, among others, from what the last one found. */
export class PlanSolver {
  readonly #request: JointPlanRequest;
  readonly #space: PlanSpace;
  #last: Float64Array | undefined;
  #fitted: readonly Float64Array[] | undefined;

  constructor(request: JointPlanRequest, basecoats: number) {
    this.#request = request;
    this.#space = new PlanSpace(request, basecoats);
  }

  /** Nearest colour over all parts and lights; undefined when the films are too thick whatever they hold. */
  nearest(step: PlanStep): JointPlan | undefined {
    const limits = this.#space.limits(step);
    if (!limits) return undefined;
    const main = this.#request.lights[0].tolerance;
    const model = this.#model(step, (tolerance) => main / tolerance);
    const descender = new Descender(model.size, model.objectives, limits.b.length);
    const starts = this.#starts(step, limits)
      .map((x, order) => ({ x, order, value: model.value(x) }))
      .sort((p, q) => p.value - q.value || p.order - q.order);
    let best = starts[0].x;
    let value = starts[0].value;
    for (const x of this.#chosen(starts.map((start) => start.x))) {
      const y = x.slice();
      descender.minimise(model, y, limits, options);
      const found = model.value(y);
      if (found < value - 1e-9 && keeps(limits, y)) {
        best = y;
        value = found;
      }
    }
    this.#last = best;
    return this.#planOf(step, model, best);
  }

  /**
   * Least cost within the tolerances, from a plan that keeps them. Not dearer than that plan.
   *
   * Cost is linear in blend and recipe, so it can be one more limit: the nearest colour for so much money,
   * and the money is halved in on until the colour only just passes.
   */
  cheapest(step: PlanStep, from: JointPlan): JointPlan {
    const limits = this.#space.limits(step);
    const prices = this.#space.prices(step);
    if (!limits || !prices || from.cost === undefined) return from;
    const model = this.#model(step, (tolerance) => 1 / tolerance);
    const descender = new Descender(model.size, model.objectives, limits.b.length + 1);
    const priceOf = (x: Float64Array): number => x.reduce((sum, share, i) => sum + share * prices[i], 0);
    const spread = [this.#space.variablesOf(from), ...this.#starts(step, limits)];
    const frugal = spread.reduce((least, x) => (priceOf(x) < priceOf(least) ? x : least));
    let best = spread[0];
    let low = priceOf(frugal);
    let high = priceOf(best);
    // Sixty halvings use up all digits, also where the cost is next to nothing.
    for (let halving = 0; halving < 60 && high - low > costPrecision * from.cost; halving++) {
      const purse = (low + high) / 2;
      const within: Limits = {
        ...limits,
        a: Float64Array.from([...limits.a, ...prices]),
        b: Float64Array.from([...limits.b, purse]),
      };
      // Every start is moved towards the frugal one until it can be paid; what lies between two allowed mixes
      // is allowed.
      const [first, ...others] = [best, ...spread].map((x, order) => {
        const price = priceOf(x);
        const share = price > purse ? (price - purse) / (price - priceOf(frugal)) : 0;
        const y = x.map((value, i) => value + share * (frugal[i] - value));
        return { y, order, value: model.value(y) };
      });
      others.sort((p, q) => p.value - q.value || p.order - q.order);
      const found = [first, ...others.slice(0, kept)].find(({ y }) => {
        descender.minimise(model, y, within, options);
        return model.value(y) <= 1 && keeps(within, y);
      });
      if (found) {
        best = found.y;
        high = Math.min(purse, priceOf(best));
      } else low = purse;
    }
    const plan = this.#planOf(step, model, best);
    return plan.cost! < from.cost ? plan : from;
  }

  #starts(step: PlanStep, limits: Limits): Float64Array[] {
    this.#fitted ??= fittedStarts(this.#space, step);
    const carried = this.#last ? [this.#last, ...this.#fitted] : this.#fitted;
    return [...carried.filter((x) => keeps(limits, x)), ...spreadStarts(this.#space, step, limits)];
  }

  /**
   * What the last step found, the best starts of all, and the best of every blend: over the ratio there may
   * be more than one valley.
   */
  #chosen(ranked: readonly Float64Array[]): Float64Array[] {
    const blends = new Set<string>();
    return ranked.filter((x, place) => {
      const blend = x.subarray(0, this.#space.baseVariables).join();
      const isNew = !blends.has(blend);
      blends.add(blend);
      return isNew || place < kept || x === this.#last;
    });
  }

  #model(step: PlanStep, scale: (tolerance: number) => number): ForwardModel {
    const { substrates, more, surface, sheen, lights } = this.#request;
    return new ForwardModel({
      ...this.#space.depths(step),
      finish: coatsOver(step.wetColour, substrates, more?.wets),
      surface,
      sheen,
      lights: lights.map(({ weights, tolerance }) => ({ weights, weight: scale(tolerance) })),
      targets: lights.map(({ target }) => target),
      lightsApart: true,
    });
  }

  #planOf(step: PlanStep, model: ForwardModel, x: Float64Array): JointPlan {
    const { paints, components, lights } = this.#request;
    const nb = this.#space.baseVariables;
    const shares = new Float64Array(paints.length);
    for (let i = 0; i < nb; i++) shares[i + 1] = x[i];
    shares[0] = Math.max(0, 1 - sumOf(shares));
    const volumes = volumesOf(this.#space.depths(step).depths, x.subarray(nb));
    const differences = differencesOf(model, x);
    let usedUp = 0;
    let worst = 0;
    for (const of of differences) {
      worst = Math.max(worst, of[0]);
      lights.forEach(({ tolerance }, l) => {
        usedUp = Math.max(usedUp, of[l] / tolerance);
      });
    }
    const basecoatVolume = step.wetBase * this.#space.perMicrometre;
    const colourVolume = this.#space.meanColour(step) * this.#space.perMicrometre;
    const baseCost = step.basecoats > 0 ? costOf(paints, shares) : 0;
    const colourCost = costOf(components, volumes);
    const thickest = this.#space.thickestColour(step);
    let dryBuild = 0;
    for (let j = 0; j < paints.length; j++) dryBuild += step.wetBase * shares[j] * paints[j].volumeSolids;
    for (let j = 0; j < components.length; j++) {
      dryBuild += (thickest * volumes[j] * components[j].volumeSolids) / 100;
    }
    return {
      ...step,
      shares,
      volumes,
      differences,
      worst,
      usedUp,
      basecoatVolume,
      colourVolume,
      volume: basecoatVolume + colourVolume,
      cost:
        baseCost === undefined || colourCost === undefined
          ? undefined
          : basecoatVolume * baseCost + (colourVolume * colourCost) / 100,
      dryBuild,
    };
  }
}
