import { dryBuildLimit } from "../../coating/thickness.ts";
import { recipeDepths } from "../depths.ts";
import { fitAmounts, volumesOf } from "../fitAmounts.ts";
import type { Finish } from "../forward.ts";
import { keepWithin, recipeLimits } from "../recipeLimits.ts";
import { Descender, type Limits } from "../trustRegion.ts";
import { costOf } from "./groundCandidate.ts";
import type { JointPlan, JointPlanRequest } from "./jointPlan.ts";
import { groundInto } from "./look.ts";
import type { PlanStep } from "./planSteps.ts";
import { TwoFilmModel } from "./twoFilmModel.ts";
import {
  blendWetInto,
  createFractions,
  createWetFilm,
  fractionInto,
  type WetFilm,
  wetFilmOf,
} from "./wetFilm.ts";

const smoothings = [1, 0.1, 0.01, 1e-3, 1e-4];
/** Starts that are worked on beside those carried over from the step before. */
const kept = 4;
/** The least cost is looked for to this share of it. */
const costPrecision = 1e-3;

/** Finds blend and recipe for given coats. Every step starts, among others, from what the last one found. */
export class PlanSolver {
  readonly #request: JointPlanRequest;
  readonly #paints: readonly WetFilm[];
  #carried: Float64Array[] = [];
  #fitted: Float64Array[] | undefined;

  constructor(request: JointPlanRequest, basecoats: number) {
    this.#request = request;
    this.#paints = basecoats > 0 ? request.paints.map(wetFilmOf) : [];
  }

  /** Nearest colour over all parts and lights; undefined when the films are too thick whatever they hold. */
  nearest(step: PlanStep): JointPlan | undefined {
    const limits = this.#limits(step);
    if (!limits) return undefined;
    const main = this.#request.lights[0].tolerance;
    const model = this.#model(step, (tolerance) => main / tolerance);
    const starts = this.#starts(step, limits)
      .map((x, order) => ({ x, order, value: model.value(x) }))
      .sort((p, q) => p.value - q.value || p.order - q.order);
    const descender = new Descender(model.size, model.grounds, limits.b.length);
    let best = starts[0].x;
    let value = starts[0].value;
    const carried = new Set(this.#carried);
    for (const { x } of starts.filter((start, place) => place < kept || carried.has(start.x))) {
      const y = x.slice();
      descender.minimise(model, y, limits, { smoothings, maxIterations: 120 });
      const found = model.value(y);
      if (found < value - 1e-9 && keeps(limits, y)) {
        best = y;
        value = found;
      }
    }
    this.#carried = [best];
    return this.#planOf(step, model, best);
  }

  /**
   * Least cost within the tolerances, from a plan that keeps them. Not dearer than that plan.
   *
   * Cost is linear in blend and recipe, so it can be one more limit: the nearest colour for so much money, and the money is
   * halved in on until the colour only just passes.
   */
  cheapest(step: PlanStep, from: JointPlan): JointPlan {
    const limits = this.#limits(step);
    const prices = this.#prices(step);
    if (!limits || !prices) return from;
    const model = this.#model(step, (tolerance) => 1 / tolerance);
    const descender = new Descender(model.size, model.grounds, limits.b.length + 1);
    const priceOf = (x: Float64Array): number => x.reduce((sum, share, i) => sum + share * prices[i], 0);
    const spread = [this.#variablesOf(from), ...this.#starts(step, limits)];
    const frugal = spread.reduce((least, x) => (priceOf(x) < priceOf(least) ? x : least));
    let best = spread[0];
    let low = priceOf(frugal);
    let high = priceOf(best);
    const precision = costPrecision * from.cost!;
    while (high - low > precision) {
      const purse = (low + high) / 2;
      const within: Limits = {
        ...limits,
        a: Float64Array.from([...limits.a, ...prices]),
        b: Float64Array.from([...limits.b, purse]),
      };
      // Every start is moved towards the frugal one until it can be paid; what lies between two allowed mixes is allowed.
      const starts = [best, ...spread]
        .map((x) => {
          const price = priceOf(x);
          const share = price > purse ? (price - purse) / (price - priceOf(frugal)) : 0;
          return x.map((value, i) => value + share * (frugal[i] - value));
        })
        .map((x, order) => ({ x, order, value: model.value(x) }));
      const [first, ...others] = starts;
      others.sort((p, q) => p.value - q.value || p.order - q.order);
      let found: Float64Array | undefined;
      for (const { x } of [first, ...others.slice(0, 2)]) {
        descender.minimise(model, x, within, { smoothings, maxIterations: 120 });
        if (model.value(x) <= 1 && keeps(within, x)) {
          found = x;
          break;
        }
      }
      if (found) {
        best = found;
        high = Math.min(purse, priceOf(found));
      } else low = purse;
    }
    const plan = this.#planOf(step, model, best);
    return plan.cost! < from.cost! ? plan : from;
  }

  get #baseVariables(): number {
    return Math.max(0, this.#paints.length - 1);
  }

  #depths(step: PlanStep) {
    const { paints, components, binderIndex } = this.#request;
    const coats = (wetThickness: number): Finish => ({ kind: "coats", wetThickness, grounds: [] });
    return {
      base: recipeDepths(this.#paints.length > 0 ? paints : paints.slice(0, 1), 0, coats(step.wetBase)),
      colour: recipeDepths(components, binderIndex, coats(step.wetColour)),
    };
  }

  #model(step: PlanStep, scale: (tolerance: number) => number): TwoFilmModel {
    const { substrates, surface, sheen, lights } = this.#request;
    return new TwoFilmModel({
      ...this.#depths(step),
      substrates,
      surface,
      sheen,
      lights: lights.map(({ weights, target, tolerance }) => ({ weights, target, scale: scale(tolerance) })),
    });
  }

  /** Limits of blend and recipe and of the dry film; undefined when nothing can keep them. */
  #limits(step: PlanStep): Limits | undefined {
    const { paints, components, binderIndex, amounts, maxDryBuild = dryBuildLimit } = this.#request;
    const { colour } = this.#depths(step);
    const found = recipeLimits(components, colour, amounts);
    if ("reason" in found) throw new RangeError(found.reason);
    const recipe = found.limits;
    const nb = this.#baseVariables;
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
    const dry = new Float64Array(n);
    for (let i = 0; i < nb; i++)
      dry[i] = step.wetBase * (paints[i + 1].volumeSolids - paints[0].volumeSolids);
    colour.componentOf.forEach((j, i) => {
      dry[nb + i] = step.wetColour * (components[j].volumeSolids - binder);
    });
    rows.push({ a: dry, b: maxDryBuild - step.wetBase * paints[0].volumeSolids - step.wetColour * binder });
    const limits: Limits = {
      low: Float64Array.from([...new Array<number>(nb).fill(0), ...recipe.low]),
      high: Float64Array.from([...new Array<number>(nb).fill(1), ...recipe.high]),
      a: Float64Array.from(rows.flatMap(({ a }) => [...a])),
      b: Float64Array.from(rows, ({ b }) => b),
      equalities: 0,
    };
    return this.#blends().some((blend) => keeps(limits, Float64Array.from([...blend, ...recipe.low])))
      ? limits
      : undefined;
  }

  /** Blends spread over what the base paints allow: shares of all but the first. */
  #blends(): number[][] {
    switch (this.#baseVariables) {
      case 0:
        return [[]];
      case 1:
        return [[0], [0.2], [0.4], [0.6], [0.8], [1]];
      default:
        return [
          [0, 0],
          [1, 0],
          [0, 1],
          [0.5, 0],
          [0, 0.5],
          [0.5, 0.5],
          [0.33, 0.33],
        ];
    }
  }

  /** Blends and recipes to start from: those carried over, fitted ones, and the given recipe thinner and fuller. */
  #starts(step: PlanStep, limits: Limits): Float64Array[] {
    const { startVolumes, components, binderIndex, amounts } = this.#request;
    const nb = this.#baseVariables;
    const { componentOf } = this.#depths(step).colour;
    let total = 0;
    let pastes = 0;
    for (let j = 0; j < components.length; j++) {
      total += startVolumes[j];
      if (j !== binderIndex) pastes += startVolumes[j];
    }
    this.#fitted ??= this.#fit(step);
    const starts: Float64Array[] = [...this.#carried, ...this.#fitted];
    if (pastes > 0) {
      const own = pastes / total;
      for (const loading of [own, 0.5 * own, Math.min(1, amounts.maxLoading)]) {
        for (const blend of this.#blends()) {
          const x = new Float64Array(nb + componentOf.length);
          x.set(blend);
          componentOf.forEach((j, i) => {
            x[nb + i] = (loading * startVolumes[j]) / pastes;
          });
          starts.push(x);
        }
      }
    }
    const leanest = new Float64Array(limits.low);
    starts.push(leanest);
    const within = starts.map((x) => {
      // A carried start must stay itself, so that it is known again.
      if (keeps(limits, x)) return x;
      const y = x.slice();
      keepWithin(limits, y);
      return y;
    });
    const kept = within.filter((x) => keeps(limits, x));
    if (kept.length > 0) return kept;
    // Only a blend of less solid paints is thin enough.
    return this.#blends()
      .map((blend) => Float64Array.from([...blend, ...limits.low.slice(nb)]))
      .filter((x) => keeps(limits, x));
  }

  /** Recipes fitted by themselves over the blends, in all lights. */
  #fit(step: PlanStep): Float64Array[] {
    const { components, binderIndex, amounts, startVolumes, substrates, surface, sheen, lights } =
      this.#request;
    const nb = this.#baseVariables;
    const { length } = substrates[0];
    const [film] = createFractions(1, length);
    const blendFilm = createWetFilm(length);
    const blends = this.#blends();
    return [...new Set([0, Math.floor(blends.length / 2), blends.length - 1])].map((k) => {
      const blend = blends[k];
      if (this.#paints.length > 0) {
        const shares = [1 - blend.reduce((sum, share) => sum + share, 0), ...blend];
        blendWetInto(this.#paints, shares, blendFilm);
      }
      fractionInto(blendFilm, step.wetBase, film);
      const grounds = substrates.map((part) => {
        const ground = new Float64Array(length);
        groundInto(film, part, ground);
        return ground;
      });
      const { volumes } = fitAmounts({
        components,
        binderIndex,
        limits: amounts,
        startVolumes,
        finish: { kind: "coats", wetThickness: step.wetColour, grounds },
        target: { kind: "lab", Lab: lights[0].target },
        lights: [{ weights: lights[0].weights, weight: 1 }],
        surface,
        sheen,
      });
      const x = new Float64Array(nb + components.length - 1);
      x.set(blend);
      let i = nb;
      for (let j = 0; j < components.length; j++) if (j !== binderIndex) x[i++] = volumes[j] / 100;
      return x;
    });
  }

  #variablesOf({ shares, volumes }: JointPlan): Float64Array {
    const { binderIndex } = this.#request;
    const recipe = Array.from(volumes).filter((_, j) => j !== binderIndex);
    return Float64Array.from([
      ...Array.from(shares).slice(1, 1 + this.#baseVariables),
      ...recipe.map((volume) => volume / 100),
    ]);
  }

  /** Price of one unit of each variable for the whole job. */
  #prices(step: PlanStep): Float64Array | undefined {
    const { paints, components, binderIndex } = this.#request;
    const used = [...(this.#paints.length > 0 ? paints : []), ...components];
    if (used.some(({ costPerMl }) => costPerMl === undefined)) return undefined;
    const [base, colour] = [step.wetBase * this.#perMicrometre, step.wetColour * this.#perMicrometre];
    const nb = this.#baseVariables;
    const others = components.filter((_, j) => j !== binderIndex);
    return Float64Array.from([
      ...paints.slice(1, 1 + nb).map(({ costPerMl }) => base * (costPerMl! - paints[0].costPerMl!)),
      ...others.map(({ costPerMl }) => colour * (costPerMl! - components[binderIndex].costPerMl!)),
    ]);
  }

  /** mL to be mixed for each µm of wet film over the whole job (1 m² · 1 µm = 1 mL). */
  get #perMicrometre(): number {
    return this.#request.area / this.#request.transferEfficiency;
  }

  #planOf(step: PlanStep, model: TwoFilmModel, x: Float64Array): JointPlan {
    const { paints, components, lights, substrates } = this.#request;
    const nb = this.#baseVariables;
    const shares = new Float64Array(paints.length);
    for (let i = 0; i < nb; i++) shares[i + 1] = x[i];
    shares[0] = Math.max(0, 1 - shares.reduce((sum, share) => sum + share, 0));
    const volumes = volumesOf(this.#depths(step).colour, x.subarray(nb));
    const flat = new Float64Array(substrates.length * lights.length);
    model.differencesInto(x, flat);
    const differences = substrates.map((_, p) => flat.slice(p * lights.length, (p + 1) * lights.length));
    let usedUp = 0;
    let worst = 0;
    for (const of of differences) {
      worst = Math.max(worst, of[0]);
      lights.forEach(({ tolerance }, l) => {
        usedUp = Math.max(usedUp, of[l] / tolerance);
      });
    }
    const basecoatVolume = step.wetBase * this.#perMicrometre;
    const colourVolume = step.wetColour * this.#perMicrometre;
    const baseCost = step.basecoats > 0 ? costOf(paints, shares) : 0;
    const colourCost = costOf(components, volumes);
    let dryBuild = 0;
    for (let j = 0; j < paints.length; j++) dryBuild += step.wetBase * shares[j] * paints[j].volumeSolids;
    for (let j = 0; j < components.length; j++) {
      dryBuild += (step.wetColour * volumes[j] * components[j].volumeSolids) / 100;
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

/** Whether x keeps all limits, but for rounding. */
function keeps({ low, high, a, b }: Limits, x: Float64Array): boolean {
  const n = x.length;
  for (let i = 0; i < n; i++) if (x[i] < low[i] - 1e-12 || x[i] > high[i] + 1e-12) return false;
  for (let r = 0; r < b.length; r++) {
    let sum = 0;
    for (let i = 0; i < n; i++) sum += a[r * n + i] * x[i];
    if (sum > b[r] + 1e-9 * Math.max(1, Math.abs(b[r]))) return false;
  }
  return true;
}
