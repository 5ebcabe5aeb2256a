import type { ActionContext } from "../../../src/graph/defineCell.ts";
import { LastAnswers } from "../../../src/graph/lastAnswers.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { signatureOf } from "../../../src/graph/signature.ts";
import { settleTask } from "../../../src/ground/longTasks.ts";
import {
  RatioRefitter,
  type RefitRequest,
  type RefittedCurve,
  refittedCurve,
} from "../../../src/ground/refittedRatio.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import { type GroundCoverage, withGround } from "../../../src/ports/groundJob.ts";
import { refitRequestOf } from "../../../src/ports/refit.ts";

/** The sweep with the recipe fitted anew to every blend, and how the recipe as it stands compares. */
export interface Together {
  /** Ratios at which it was fitted, and the difference of the worst part in the viewing cell's formula there. */
  readonly ratios: Float64Array;
  readonly differences: Float64Array;
  /** The best of them by what the fit makes least, over all its lights. */
  readonly best: { readonly ratio: number; readonly difference: number };
  /** Difference that a fit would come to at the blend as it is now. */
  readonly refittedHere: number;
  /** What the fit makes least: as it stands, fitted to this blend, fitted to the best one. ΔE00 over all lights. */
  readonly objective: { readonly now: number; readonly here: number; readonly best: number };
  /** The recipe is another than a fit to this blend would give, and misses by more. */
  readonly apart: boolean;
  /** Settling blend and recipe would bring what an eye could see. */
  readonly gains: boolean;
}

const points = 26;
/** A fit that would gain less than this (ΔE00 over all lights) is none that anybody would see. */
const seen = 0.1;

// Neither the ratio nor the amounts are part of the question, so that their sliders find the answer ready.
const answers = new LastAnswers<{ refitter: RatioRefitter; curve: RefittedCurve } | string>();

/** @returns undefined where there is nothing to fit; the reason where no recipe keeps the rules */
export function together(coverage: GroundCoverage, cell: string): Together | string | undefined {
  const request = refitRequestOf(coverage);
  if (!request) return undefined;
  const signature = signatureOf(request);
  const answer = answers.get(cell, signature) ?? answers.keep(cell, signature, answerTo(request));
  if (typeof answer === "string") return answer;
  const { refitter, curve } = answer;
  const { ratio } = coverage.basecoat;
  const { volumes } = coverage.recipe;
  const objectives = curve.points.map(({ objective }) => objective);
  const least = objectives.indexOf(Math.min(...objectives));
  const nearest = curve.points[Math.round(ratio * (points - 1))];
  const here = refitter.polished(ratio, nearest.volumes);
  const now = refitter.objectiveAt(ratio, volumes);
  return {
    ratios: curve.ratios,
    differences: curve.differences,
    best: { ratio: curve.ratios[least], difference: curve.differences[least] },
    refittedHere: refitter.differenceAt(ratio, here.volumes),
    objective: { now, here: here.objective, best: objectives[least] },
    apart: now - here.objective > seen,
    gains: now - objectives[least] > seen,
  };
}

function answerTo(request: RefitRequest): { refitter: RatioRefitter; curve: RefittedCurve } | string {
  try {
    const refitter = new RatioRefitter(request);
    return { refitter, curve: refittedCurve(refitter, points) };
  } catch (error) {
    // Rules that contradict each other are for the recipe cell to say; the sweep goes on with the recipe as it is.
    if (error instanceof RangeError) return error.message;
    throw error;
  }
}

/** Settle blend and recipe, and set both in their cells; the recipe keeps its total. */
export async function settleBoth(coverage: Coverage | undefined, context: ActionContext) {
  if (!coverage) throw new InputError("Link a coverage cell first", { field: "coverage" });
  const grounded = withGround(coverage);
  const request = refitRequestOf(grounded);
  if (!request) {
    throw new InputError("There is nothing to settle", {
      field: "coverage",
      wayOut: "Blend two base paints, and put a binder and a paste into the recipe",
    });
  }
  const { recipe, basecoat } = grounded;
  const total = recipe.volumes.reduce((sum, volume) => sum + volume, 0);
  const { ratio, volumes } = await context.run(settleTask, {
    ...request,
    balance: { batch: total, step: recipe.balanceStep },
  });
  const sum = volumes.reduce((all, volume) => all + volume, 0);
  context.also(basecoat.cell, { ratio });
  context.also(recipe.cell, {
    amounts: recipe.components.map(({ id }, j) => ({
      component: id,
      volume: Math.round((volumes[j] / sum) * total * 1e4) / 1e4,
    })),
  });
  return {};
}
