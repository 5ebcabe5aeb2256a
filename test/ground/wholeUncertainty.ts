import type { JobSpread } from "../../src/ground/spread.ts";
import {
  combineUncertainty,
  drawUncertainty,
  type Uncertainty,
  type UncertaintyRequest,
  uncertaintyChunks,
} from "../../src/ground/uncertainty.ts";

/**
 * Common practice: an uneven hand of ±20 %, a blend poured to ±2 %, drops of 1/20 mL into 200 mL. To be
 * edited.
 */
export const usualJobSpread: Readonly<JobSpread> = Object.freeze({
  filmBuild: Object.freeze({ colour: 0.2, basecoat: 0.2 }),
  ratio: 0.02,
  doseStep: 0.05,
  batch: 200,
  coefficientBands: 1,
  assumedBand: 0,
});

/** A whole Monte Carlo in one go. */
export function uncertaintyOf(request: UncertaintyRequest): Uncertainty {
  return combineUncertainty(request, uncertaintyChunks(request, 1).map(drawUncertainty));
}
