import { aboveZero } from "./checks.ts";

/** Relative spectral power of a light; between the wavelengths it is read off a straight line. */
export interface IlluminantTable {
  readonly name: string;
  /** nm, increasing */
  readonly wavelengths: Float64Array;
  readonly power: Float64Array;
  /**
   * Beyond the wavelengths: "held" at the end values, as CIE 15 advises for daylight, which goes on there; "dark" for
   * lamps, which give next to nothing there.
   */
  readonly beyond: "held" | "dark";
}

/**
 * Relative spectral power of CIE standard illuminant A, 100 at 560 nm.
 *
 * @param wavelength nm, > 0
 * @throws RangeError for a wavelength that is not above 0
 * Source: ISO/CIE 11664-2, equation for illuminant A: a Planckian radiator written with c2/T = 1.435e7/2848 nm.
 */
export function illuminantAPower(wavelength: number): number {
  aboveZero("wavelength", wavelength, "nm");
  const ratio = 560 / wavelength;
  const c2T = 1.435e7 / 2848;
  return (100 * ratio ** 5 * Math.expm1(c2T / 560)) / Math.expm1(c2T / wavelength);
}
