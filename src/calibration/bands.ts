/** K and S of a paste, one value for each wavelength. */
interface Curves {
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

/** K and S with 1σ of each. */
export interface DoubtfulCurves extends Curves {
  readonly absorptionSigma: Float64Array;
  readonly scatteringSigma: Float64Array;
}

/** Limits between which a curve lies. */
interface Band<Values = Float64Array> {
  readonly low: Values;
  readonly high: Values;
}

/** Bands within which K and S lie with a stated probability. */
export interface CoefficientBands {
  /** 0…1 */
  readonly level: number;
  readonly absorption: Band;
  readonly scattering: Band;
}

/** z of the normal distribution that leaves a share inside ±z; good to 5 digits (Abramowitz, Stegun 26.2.23). */
export function normalBandFactor(level: number): number {
  if (!(level > 0 && level < 1)) throw new RangeError(`level = ${level}: must be above 0 and below 1`);
  const t = Math.sqrt(-2 * Math.log((1 - level) / 2));
  return (
    t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)))
  );
}

/** Bands from the covariance: value ± z·σ, not below 0. */
export function bandsFromSigma(curves: DoubtfulCurves, level: number): CoefficientBands {
  const z = normalBandFactor(level);
  const band = (values: Float64Array, sigma: Float64Array): Band => ({
    low: values.map((value, i) => Math.max(0, value - z * sigma[i])),
    high: values.map((value, i) => value + z * sigma[i]),
  });
  return {
    level,
    absorption: band(curves.absorption, curves.absorptionSigma),
    scattering: band(curves.scattering, curves.scatteringSigma),
  };
}

const level = 0.9;
/** Half-width of a 90 % band in standard deviations. */
const z90 = 1.645;

/**
 * 90 % bands of K and S: from refits where there are any, else from the fit.
 *
 * @param logSigma 1σ of ln K and ln S, where the doubt was found so (coarse curves)
 */
export function bandsOfCurves(
  curves: DoubtfulCurves,
  refits: { readonly absorption: Band<number[]>; readonly scattering: Band<number[]> } | null,
  logSigma?: { readonly absorptionLogSigma: Float64Array; readonly scatteringLogSigma: Float64Array },
): CoefficientBands & { from: string } {
  if (refits) {
    const typed = ({ low, high }: Band<number[]>): Band => ({
      low: Float64Array.from(low),
      high: Float64Array.from(high),
    });
    const [absorption, scattering] = [typed(refits.absorption), typed(refits.scattering)];
    return { level, absorption, scattering, from: "200 refits" };
  }
  if (!logSigma) return { ...bandsFromSigma(curves, level), from: "the fit" };
  const band = (values: Float64Array, sigma: Float64Array): Band => ({
    low: values.map((value, i) => value * Math.exp(-z90 * sigma[i])),
    high: values.map((value, i) => value * Math.exp(z90 * sigma[i])),
  });
  return {
    level,
    absorption: band(curves.absorption, logSigma.absorptionLogSigma),
    scattering: band(curves.scattering, logSigma.scatteringLogSigma),
    from: "the coarse fit",
  };
}

/** Tells whether kept bands belong to a result. */
export function fingerprint(curves: Curves | undefined): string {
  const total = (values: ArrayLike<number> | undefined) =>
    Array.from(values ?? []).reduce((sum, value, i) => sum + value * (i + 1), 0);
  return `${total(curves?.absorption).toPrecision(10)} ${total(curves?.scattering).toPrecision(10)}`;
}
