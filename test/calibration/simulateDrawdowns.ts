import type {
  CalibrationProblem,
  Companion,
  Drawdown,
  Ground,
  Thickness,
} from "../../src/calibration/problem.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectance, reflectivity } from "../../src/optics/film.ts";
import {
  type SpecularMode,
  type SurfaceConstants,
  toInternal,
  toMeasured,
} from "../../src/optics/interface.ts";

/** A drawdown to be made up: true thickness, and what the person at the bench would know of it. */
export interface PlannedDrawdown {
  readonly label: string;
  /** share of the dry film by volume: paste first, then each companion */
  readonly fractions: ArrayLike<number>;
  /** µm; Infinity = hides completely */
  readonly trueThickness: number;
  /** how the thickness is told: with its stated relative error, not at all, or as "opaque" */
  readonly told: "known" | "unknown" | "opaque";
  readonly specular: SpecularMode;
  /** indices of the grounds it is measured over */
  readonly grounds: readonly number[];
}

/** A whole made-up calibration. */
export interface Simulation {
  /** true K and S of the paste, 1/µm */
  readonly absorption: ArrayLike<number>;
  readonly scattering: ArrayLike<number>;
  readonly companions: readonly Companion[];
  /** bare grounds, true reflectance as measured with the specular part included */
  readonly grounds: readonly { readonly name: string; readonly reflectance: Float64Array }[];
  readonly drawdowns: readonly PlannedDrawdown[];
  readonly surface: SurfaceConstants;
  /** 1σ of every single reading, in reflectance */
  readonly noise: number;
  /** readings averaged on each bare ground */
  readonly groundRepeats: number;
  /** 1σ of ln X in the told thicknesses */
  readonly thicknessError: number;
  readonly seed: number;
}

/**
 * Drawdowns as they would be measured if the film model were true: normal noise on every reading and on every told
 * thickness, from a seed.
 *
 * @throws RangeError when the films cannot be
 */
export function simulateDrawdowns(simulation: Simulation): CalibrationProblem {
  const { companions, surface, noise, groundRepeats, thicknessError } = simulation;
  const { externalReflection: k1, internalReflection: k2 } = surface;
  const random = seededRandom(simulation.seed);
  const n = simulation.absorption.length;
  const bare = simulation.grounds.map(({ reflectance }) =>
    Array.from(reflectance, (Rm) => toInternal(Rm, k1, k2, "included")),
  );
  const groundSigma = noise / Math.sqrt(groundRepeats);
  const grounds: Ground[] = simulation.grounds.map(({ name, reflectance }) => ({
    name,
    reflectance: reflectance.map((value) => value + groundSigma * normal(random)),
    mode: "included",
    sigma: new Float64Array(n).fill(groundSigma),
  }));
  const drawdowns = simulation.drawdowns.map((plan): Drawdown => {
    const error = thicknessError * normal(random);
    const readings = plan.grounds.map((ground) => ({
      ground,
      specular: plan.specular,
      reflectance: Float64Array.from({ length: n }, (_, i) => {
        let K = plan.fractions[0] * simulation.absorption[i];
        let S = plan.fractions[0] * simulation.scattering[i];
        companions.forEach(({ absorption, scattering }, j) => {
          K += plan.fractions[j + 1] * absorption[i];
          S += plan.fractions[j + 1] * scattering[i];
        });
        const X = plan.trueThickness;
        const R =
          X === Number.POSITIVE_INFINITY ? reflectivity(K, S) : filmReflectance(K, S, X, bare[ground][i]);
        return toMeasured(R, k1, k2, plan.specular) + noise * normal(random);
      }),
      sigma: new Float64Array(n).fill(Math.max(noise, 1e-6)),
    }));
    return {
      label: plan.label,
      fractions: Float64Array.from(plan.fractions),
      thickness: toldThickness(plan, error, thicknessError),
      readings,
    };
  });
  return { companions, grounds, drawdowns, surface, thicknessUnit: "µm" };
}

function toldThickness(plan: PlannedDrawdown, error: number, relativeSigma: number): Thickness {
  if (plan.told === "known") {
    return {
      kind: "known",
      value: plan.trueThickness * Math.exp(error),
      relativeSigma: Math.max(relativeSigma, 1e-4),
    };
  }
  return plan.told === "opaque" ? { kind: "opaque" } : { kind: "unknown" };
}
