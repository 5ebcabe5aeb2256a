import { bandsFromSigma } from "../../../src/calibration/bootstrap.ts";
import type { KeptBands } from "./drawdowns.ts";

export interface Curves {
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

/** K and S with 1σ of each. */
export interface DoubtfulCurves extends Curves {
  readonly absorptionSigma: Float64Array;
  readonly scatteringSigma: Float64Array;
}

const level = 0.9;
/** Half-width of a 90 % band in standard deviations. */
const z90 = 1.645;

/**
 * 90 % bands of K and S: from refits where there are any, else from the fit.
 *
 * @param logSigma 1σ of ln K and ln S, where the doubt was found so (coarse curves)
 */
export function curveBands(
  curves: DoubtfulCurves,
  refits: KeptBands | null,
  logSigma?: { readonly absorptionLogSigma: Float64Array; readonly scatteringLogSigma: Float64Array },
): { low: Curves; high: Curves; from: string } {
  if (refits) {
    const side = (which: "low" | "high") => ({
      absorption: Float64Array.from(refits.absorption[which]),
      scattering: Float64Array.from(refits.scattering[which]),
    });
    return { low: side("low"), high: side("high"), from: "200 refits" };
  }
  if (logSigma) {
    const side = (sign: number) => ({
      absorption: curves.absorption.map((K, i) => K * Math.exp(sign * z90 * logSigma.absorptionLogSigma[i])),
      scattering: curves.scattering.map((S, i) => S * Math.exp(sign * z90 * logSigma.scatteringLogSigma[i])),
    });
    return { low: side(-1), high: side(1), from: "the coarse fit" };
  }
  const { absorption, scattering } = bandsFromSigma(curves, level);
  return {
    low: { absorption: absorption.low, scattering: scattering.low },
    high: { absorption: absorption.high, scattering: scattering.high },
    from: "the fit",
  };
}

/** Tells whether kept bands belong to a result. */
export function fingerprint(curves: Curves | undefined): string {
  const total = (values: ArrayLike<number> | undefined) =>
    Array.from(values ?? []).reduce((sum, value, i) => sum + value * (i + 1), 0);
  return `${total(curves?.absorption).toPrecision(10)} ${total(curves?.scattering).toPrecision(10)}`;
}
