import { aboveZero, each, finite, fraction, sameLength } from "../colour/checks.ts";

/**
 * How far the readings settle K and S at one wavelength.
 * - "determined": both found.
 * - "undetermined": the film hides, so that the two readings differ by less than their noise; the values given are
 *   those of a film whose readings differ by just the noise, hence lower bounds of thickness-times-coefficient.
 * - "negative absorption", "negative scattering": no film gives such readings; the values tell by how much.
 */
type InversionStatus = "determined" | "undetermined" | "negative absorption" | "negative scattering";

/** Internal reflectances of one film over two grounds, one value per wavelength. */
export interface TwoGroundReadings {
  readonly overBlack: ArrayLike<number>;
  readonly overWhite: ArrayLike<number>;
  /** the bare grounds */
  readonly black: ArrayLike<number>;
  readonly white: ArrayLike<number>;
  /** smallest difference of reflectance that the instrument tells apart, > 0 */
  readonly noise: number;
}

interface TwoGroundInversion {
  /** KX: absorption times thickness */
  absorptionPower: Float64Array;
  /** SX: scattering times thickness */
  scatteringPower: Float64Array;
  /** a = 1 + K/S; Infinity where there is no scattering at all */
  a: Float64Array;
  status: InversionStatus[];
}

/**
 * KX and SX of a film from its reflectance over a dark and over a light ground.
 *
 * The usual way, over a = ½(1/R∞ + R∞), breaks down for a film that scatters nothing (a is infinite). Here the free
 * film's reflectance R₀ and transmittance T come first: R = R₀ + T²Rg/(1 − R₀Rg) over two grounds is *linear* in R₀
 * once T is eliminated. With A = (1 + R₀² − T²)/2 and C = √(A² − R₀²) then
 * BX = artanh(C/(1 − A)), SX = R₀·BX/C, KX = (A − R₀)·BX/C, and BX/C stays finite for R₀ = 0 and for K = 0.
 * Nothing is clipped: readings that no film gives come back with negative values and say so.
 *
 * @param readings internal reflectances; grounds 0…1, the light one lighter by more than the noise
 * @throws RangeError for a value out of range or not finite, TypeError when lengths differ
 * Source: Kubelka 1948, solved for two grounds; same purpose as ASTM D2805. Algebra checked against the usual form.
 */
export function invertTwoGrounds(readings: TwoGroundReadings): TwoGroundInversion {
  const { overBlack, overWhite, black, white, noise } = readings;
  const length = overBlack.length;
  sameLength("reflectance over white", overWhite, "reflectance over black", overBlack);
  sameLength("black ground", black, "reflectance over black", overBlack);
  sameLength("white ground", white, "reflectance over black", overBlack);
  aboveZero("noise", noise);
  each("reflectance over black", overBlack, finite);
  each("reflectance over white", overWhite, finite);
  each("black ground", black, fraction);
  each("white ground", white, fraction);

  const result: TwoGroundInversion = {
    absorptionPower: new Float64Array(length),
    scatteringPower: new Float64Array(length),
    a: new Float64Array(length),
    status: new Array<InversionStatus>(length),
  };
  for (let i = 0; i < length; i++) {
    const gb = black[i];
    const gw = white[i];
    if (gw - gb <= noise) {
      throw new RangeError(
        `white ground[${i}] = ${gw}: must be lighter than the black ground (${gb}) by more than the noise`,
      );
    }
    const hides = overWhite[i] - overBlack[i] < noise;
    const middle = (overWhite[i] + overBlack[i]) / 2;
    const Rb = hides ? middle - noise / 2 : overBlack[i];
    const Rw = hides ? middle + noise / 2 : overWhite[i];
    const R0 = (Rb * gw - Rw * gb) / (gw - gb + (Rb - Rw) * gb * gw);
    const T2 = ((Rw - R0) * (1 - R0 * gw)) / gw;
    const A = (1 + R0 * R0 - T2) / 2;
    const T = Math.sqrt(T2);
    const C2 = ((1 - R0 - T) * (1 - R0 + T) * (A + R0)) / 2; // A² − R₀² without the cancellation
    const stretch = areaOverSine(C2, 1 - A, T); // BX/C
    const KX = ((1 - R0 - T) * (1 - R0 + T) * stretch) / 2;
    const SX = R0 * stretch;
    if (!Number.isFinite(KX) || !Number.isFinite(SX)) {
      throw new RangeError(
        `reflectance over black = ${overBlack[i]}, over white = ${overWhite[i]} at point ${i + 1}: ` +
          "no film, not even one with negative coefficients, gives these",
      );
    }
    result.absorptionPower[i] = KX;
    result.scatteringPower[i] = SX;
    result.a[i] = SX === 0 ? Number.POSITIVE_INFINITY : 1 + KX / SX;
    // A film without absorption or without scattering may come out below 0 by rounding alone.
    result.status[i] = hides
      ? "undetermined"
      : KX < -1e-9
        ? "negative absorption"
        : SX < -1e-9
          ? "negative scattering"
          : "determined";
  }
  return result;
}

/** artanh(C/D)/C from C² (of either sign), D = 1 − A and T = √(D² − C²). */
function areaOverSine(C2: number, D: number, T: number): number {
  const z2 = C2 / (D * D);
  if (Math.abs(z2) < 1e-4) {
    return (1 + z2 * (1 / 3 + z2 * (1 / 5 + z2 * (1 / 7 + z2 / 9)))) / D;
  }
  if (C2 < 0) {
    const C = Math.sqrt(-C2);
    return Math.atan2(C, D) / C;
  }
  const C = Math.sqrt(C2);
  return Math.log((D + C) / T) / C;
}
