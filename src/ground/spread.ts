import { aboveZero, atLeastZero, within } from "../colour/checks.ts";
import { normal } from "../fit/seededRandom.ts";
import { withinSteps } from "../fit/steps.ts";

/**
 * How much the film build varies from place to place: one standard deviation as a share of what is planned.
 */
export interface FilmBuildSpread {
  readonly colour: number;
  readonly basecoat: number;
}

/** One place in three is more than a fifth thicker or thinner than planned; common practice, to be edited. */
export const usualSpread: Readonly<FilmBuildSpread> = Object.freeze({ colour: 0.2, basecoat: 0.2 });

/** What is not exactly as planned, and by how much. */
export interface JobSpread {
  /** Film build of colour and basecoat: one standard deviation as a share of the plan; cut off at zero. */
  readonly filmBuild: FilmBuildSpread;
  /** Blend ratio of the basecoat as poured: one standard deviation, share of the whole. */
  readonly ratio: number;
  /**
   * Smallest step of a dose, mL (a drop, a mark on the cup); doses err evenly by up to half a step. 0 for
   * none.
   */
  readonly doseStep: number;
  /** Colour mixed at once, mL. */
  readonly batch: number;
  /**
   * How many of their own standard deviations the coefficients K and S may move by; 1 takes them as given, 0
   * leaves them out.
   */
  readonly coefficientBands: number;
  /** Relative standard deviation of K and S for components that carry none. */
  readonly assumedBand: number;
}

/** @throws RangeError */
export function checkSpread({
  filmBuild,
  ratio,
  doseStep,
  batch,
  coefficientBands,
  assumedBand,
}: JobSpread): void {
  within("spread of the colour's film build", filmBuild.colour, 0, 1);
  within("spread of the basecoat's film build", filmBuild.basecoat, 0, 1);
  within("spread of the blend ratio", ratio, 0, 0.5);
  atLeastZero("step of a dose", doseStep, "mL");
  aboveZero("batch", batch, "mL");
  within("bands of K and S", coefficientBands, 0, 10);
  within("assumed band of K and S", assumedBand, 0, 1);
}

/** A film build from the normal distribution about 1, drawn again while it is below zero. */
export function drawBuild(random: () => number, sigma: number): number {
  if (sigma === 0) return 1;
  for (let draw = 0; ; draw++) {
    withinSteps(draw, 1000, "drawing a film build");
    const build = 1 + sigma * normal(random);
    if (build >= 0) return build;
  }
}
