// K and S of a paste from a few numbers, for data that hold a few numbers: ln K as a cubic spline with wide knots,
// S as a power of the wavelength.

/** Spline coefficients of ln K, then ln S at 560 nm and the exponent of S. */
export const splineCoefficients = 9;
export const shapeLength = splineCoefficients + 2;

const middle = 560; // nm

/** Values of the spline's basis functions and ln(λ/560) at each wavelength. */
export interface ShapeBasis {
  readonly n: number;
  /** spline[i·splineCoefficients + c] */
  readonly spline: Float64Array;
  readonly logWavelength: Float64Array;
}

/** Basis for a set of wavelengths, nm, rising. Source: uniform cubic B-splines, de Boor 1978. */
export function shapeBasis(wavelengths: ArrayLike<number>): ShapeBasis {
  const n = wavelengths.length;
  const first = wavelengths[0];
  const span = wavelengths[n - 1] - first;
  const intervals = splineCoefficients - 3;
  const spline = new Float64Array(n * splineCoefficients);
  for (let i = 0; i < n; i++) {
    const t = span > 0 ? ((wavelengths[i] - first) / span) * intervals : 0;
    for (let c = 0; c < splineCoefficients; c++) spline[i * splineCoefficients + c] = bump(t - (c - 1));
  }
  return { n, spline, logWavelength: Float64Array.from(wavelengths, (nm) => Math.log(nm / middle)) };
}

/** Cubic B-spline centred at 0, of half width 2; neighbours one apart sum to 1. */
function bump(t: number): number {
  const u = Math.abs(t);
  if (u >= 2) return 0;
  return u < 1 ? 2 / 3 - u * u + (u * u * u) / 2 : (2 - u) ** 3 / 6;
}

/** K and S of a shape, 1/µm. */
export function shapeInto(
  basis: ShapeBasis,
  shape: ArrayLike<number>,
  K: Float64Array,
  S: Float64Array,
): void {
  for (let i = 0; i < basis.n; i++) {
    let logK = 0;
    for (let c = 0; c < splineCoefficients; c++) logK += basis.spline[i * splineCoefficients + c] * shape[c];
    K[i] = Math.exp(logK);
    S[i] = Math.exp(shape[splineCoefficients] + shape[splineCoefficients + 1] * basis.logWavelength[i]);
  }
}

/** One remembered expectation: (Σ coefficient·shape − value)/sigma is about standard normal. */
export interface Expectation {
  readonly coefficients: readonly (readonly [index: number, factor: number])[];
  readonly value: number;
  readonly sigma: number;
}

/**
 * Root mean square by which ln K and ln S of real shapes miss the nearest spline and power law. Estimated from the
 * measured paints of Okumura 2005 and the demo's parametric pastes.
 */
export const shapeMisfit = { logAbsorption: 0.13, logScattering: 0.47 } as const;

/**
 * What pigments are usually like, held loosely: the spread of the same paints and pastes about a straight ln K (bends
 * from knot to knot), within some powers of ten; S anything from falling to, beside an absorption edge, rising.
 *
 * @param typicalThickness µm, gives the scale: K and S about 1 per that thickness
 */
export function usualExpectations(typicalThickness: number): Expectation[] {
  const list: Expectation[] = [];
  for (let c = 1; c < splineCoefficients - 1; c++) {
    const coefficients: Expectation["coefficients"] = [
      [c - 1, 1],
      [c, -2],
      [c + 1, 1],
    ];
    list.push({ coefficients, value: 0, sigma: 4 });
  }
  for (let c = 0; c < splineCoefficients; c++) {
    list.push({ coefficients: [[c, 1]], value: Math.log(1 / typicalThickness), sigma: 4 });
  }
  list.push({ coefficients: [[splineCoefficients, 1]], value: Math.log(1 / typicalThickness), sigma: 2.5 });
  list.push({ coefficients: [[splineCoefficients + 1, 1]], value: 1, sigma: 2 });
  return list;
}
