import { each, finite, fraction, sameLength } from "../colour/checks.ts";
import type { SpecularMode } from "../optics/interface.ts";

/** k1 of a surface of refractive index 1.5, light near the normal; a default to edit. Source: Saunderson 1942. */
const usualExternalReflection = 0.04;

/** A reading this far below the surface reflection, reflectance, is no noise. */
const noise = 0.002;

/**
 * Words for a reading that looks as if the mirror reflection were excluded; undefined when it does not. With it included
 * no film under a surface of refractive index 1.5 reflects less than k1.
 *
 * @param k1 external reflection of the surface, 0…1
 */
export function specularHint(
  wavelengths: ArrayLike<number>,
  values: ArrayLike<number>,
  k1 = usualExternalReflection,
): string | undefined {
  sameLength("wavelengths", wavelengths, "values", values);
  let lowest = 0;
  for (let i = 1; i < values.length; i++) if (values[i] < values[lowest]) lowest = i;
  if (values.length === 0 || !(values[lowest] < k1 - noise)) return undefined;
  const percent = (value: number): string => `${(100 * value).toFixed(1)} %`;
  return (
    `this looks like specular excluded: ${percent(values[lowest])} at ${wavelengths[lowest]} nm lies under the ` +
    `surface reflection of ${percent(k1)}`
  );
}

/** Values in the other specular mode, and what to be careful about. */
interface ConvertedMode {
  readonly values: Float64Array;
  readonly notes: readonly string[];
}

/**
 * Readings carried from one specular mode to the other: under the interface model (Saunderson 1942) they differ by k1.
 *
 * @param k1 external reflection of the surface, 0…1
 * @throws RangeError for values not finite or k1 out of range
 */
export function convertSpecularMode(
  values: ArrayLike<number>,
  from: SpecularMode,
  to: SpecularMode,
  k1 = usualExternalReflection,
): ConvertedMode {
  each("values", values, finite);
  fraction("external reflection k1", k1);
  if (from === to) return { values: Float64Array.from(values), notes: [] };
  const shift = to === "included" ? k1 : -k1;
  const converted = Float64Array.from(values, (value) => value + shift);
  const notes = [
    `specular ${from} turned into specular ${to} by ${to === "included" ? "adding" : "taking off"} ${k1}: right for ` +
      "a glossy surface only; matt and grained ones scatter part of the mirror reflection into the excluded reading",
  ];
  const below = converted.filter((value) => value < 0).length;
  if (below > 0) {
    notes.push(
      `at ${below} wavelengths values fall below 0: the readings were not specular ${from}, or k1 is smaller here`,
    );
  }
  const above = converted.filter((value) => value > 1).length;
  if (above > 0)
    notes.push(`at ${above} wavelengths values rise above 1: the readings were not specular ${from}`);
  return { values: converted, notes };
}
