import { each, finite, fraction, sameLength } from "../colour/checks.ts";
import { wavelengths as wavelengthsOf, workingGrid } from "../colour/grid.ts";

// The surface between air and film. Source of every formula here: Saunderson 1942; ISO 18314-2 uses the same two
// constants. "Internal" is what the film does inside its own binder, "measured" what an instrument sees outside.

/** What the surface of a film does to light, 0…1 each. */
export interface SurfaceConstants {
  /** k1: share of the light from outside that the surface reflects before it enters */
  externalReflection: number;
  /** k2: share of the diffuse light from inside that the surface sends back in */
  internalReflection: number;
}

/** Whether a reading holds the mirror reflection of the surface (sphere with its gloss trap closed) or not. */
export type SpecularMode = "included" | "excluded";

/**
 * k1 = 0.04 (refractive index 1.5, light near the normal), k2 = 0.60 (theory for diffuse light: 0.596; used in
 * practice: 0.4 to 0.6). Common practice after Saunderson 1942 and Judd 1942; a default to edit.
 */
export const usualSurface: Readonly<SurfaceConstants> = Object.freeze({
  externalReflection: 0.04,
  internalReflection: 0.6,
});

/**
 * Refuses surface constants outside 0…1, and 1 itself, where no light would cross the surface.
 *
 * @throws RangeError
 */
export function checkSurface(k1: number, k2: number): void {
  fraction("external reflection k1", k1);
  fraction("internal reflection k2", k2);
  if (k1 === 1)
    throw new RangeError("external reflection k1 = 1: must be below 1, or no light enters the film");
  if (k2 === 1)
    throw new RangeError("internal reflection k2 = 1: must be below 1, or no light leaves the film");
}

/**
 * Measured reflectance from internal reflectance, at one wavelength.
 *
 * @param R internal reflectance, 0…1; what `toInternal` gives outside that range is taken back to its reading
 * @param k1 @param k2 surface constants, 0 ≤ k < 1
 * @returns k1 + (1−k1)(1−k2)R/(1−k2R), without the leading k1 when the specular part is excluded
 * @throws RangeError for constants out of range, or R not finite or not below 1/k2
 */
export function toMeasured(R: number, k1: number, k2: number, specular: SpecularMode): number {
  finite("internal reflectance", R);
  checkSurface(k1, k2);
  if (k2 * R >= 1) throw new RangeError(`internal reflectance = ${R}: must be below 1/k2 = ${1 / k2}`);
  return (specular === "included" ? k1 : 0) + ((1 - k1) * (1 - k2) * R) / (1 - k2 * R);
}

/** `toMeasured` for a whole spectrum; lengths are checked, values are not. `out` may be `R`. @throws TypeError */
export function toMeasuredInto(
  R: ArrayLike<number>,
  k1: number,
  k2: number,
  specular: SpecularMode,
  out: Float64Array,
): void {
  sameLength("internal reflectance", R, "out", out);
  seenThroughSurfaceInto(R, specular === "included" ? k1 : 0, (1 - k1) * (1 - k2), k2, out);
}

/**
 * Internal reflectance from measured reflectance, at one wavelength. Never clipped: a reading below k1 with the
 * specular part included gives a negative value, which tells that k1 is wrong or the reading excludes the specular
 * part.
 *
 * @param Rm measured reflectance (factor)   @param k1 @param k2 surface constants, 0 ≤ k < 1
 * @returns (Rm−k1)/(1−k1−k2+k2Rm) included, Rm/((1−k1)(1−k2)+k2Rm) excluded
 * @throws RangeError for a value not finite, constants out of range, or a reading so far below k1 that no internal
 * reflectance, not even a negative one, belongs to it
 */
export function toInternal(Rm: number, k1: number, k2: number, specular: SpecularMode): number {
  finite("measured reflectance", Rm);
  checkSurface(k1, k2);
  const left = specular === "included" ? Rm - k1 : Rm;
  const below = (1 - k1) * (1 - k2) + k2 * left;
  if (below <= 0) {
    throw new RangeError(
      `measured reflectance = ${Rm}: must be above ${Rm - left - ((1 - k1) * (1 - k2)) / k2} with these surface constants`,
    );
  }
  return left / below;
}

/**
 * What the eye sees of a film: the specular-excluded reflectance plus the share m of the surface reflection.
 *
 * @param R internal reflectance   @param m sheen: 0 glossy and viewed off the highlight, 1 dead matt
 * @param out seen reflectance; may be `R`. Lengths are checked, values are not.
 * @throws TypeError when lengths differ
 * Source: common practice (a matt surface scatters its surface reflection over all directions).
 */
export function seenReflectanceInto(
  R: ArrayLike<number>,
  k1: number,
  k2: number,
  m: number,
  out: Float64Array,
): void {
  sameLength("internal reflectance", R, "out", out);
  seenThroughSurfaceInto(R, m * k1, (1 - k1) * (1 - k2), k2, out);
}

function seenThroughSurfaceInto(
  R: ArrayLike<number>,
  added: number,
  through: number,
  k2: number,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) out[i] = added + (through * R[i]) / (1 - k2 * R[i]);
}

/** Internal reflectance and what there is to say about the reading it came from. */
interface InternalReading {
  values: Float64Array;
  notes: string[];
}

/**
 * Internal reflectance of a measured spectrum, with a note for every stretch of wavelengths that no film under
 * this surface can give: below the surface reflection k1, below 0, or above 1 internally. Values are never clipped.
 *
 * @param measured reflectance factors, 0…1   @param k1 @param k2 surface constants, 0 ≤ k < 1
 * @param wavelengths nm, for the notes; the working grid when left out and the length fits, else point numbers
 * @throws RangeError for values not finite or constants out of range; TypeError when lengths differ
 */
export function internalFromMeasured(
  measured: ArrayLike<number>,
  k1: number,
  k2: number,
  specular: SpecularMode,
  wavelengths?: ArrayLike<number>,
): InternalReading {
  each("measured reflectance", measured, finite);
  if (wavelengths) sameLength("wavelengths", wavelengths, "measured reflectance", measured);
  const values = Float64Array.from(measured, (Rm) => toInternal(Rm, k1, k2, specular));
  const nm = wavelengths ?? (measured.length === workingGrid.length ? wavelengthsOf(workingGrid) : undefined);
  const notes: string[] = [];
  const tooDark = placesWhere(values, (R) => R < 0, nm);
  if (tooDark !== "") {
    notes.push(
      specular === "included"
        ? `measured reflectance is below the surface reflection k1 = ${k1} at ${tooDark}: ` +
            "k1 is too large, or the reading excludes the specular part"
        : `measured reflectance is below 0 at ${tooDark}: check the instrument's black calibration`,
    );
  }
  const tooLight = placesWhere(values, (R) => R > 1 + 1e-9, nm);
  if (tooLight !== "") {
    notes.push(
      specular === "included"
        ? `internal reflectance is above 1 at ${tooLight}: fluorescence or a wrong white calibration`
        : `internal reflectance is above 1 at ${tooLight}: the reading includes the specular part, ` +
            "or fluorescence, or a wrong white calibration",
    );
  }
  return { values, notes };
}

/** Names the places where a test holds, runs joined: "400–420, 560 nm", or "points 3–5"; "" when there are none. */
function placesWhere(
  values: Float64Array,
  test: (value: number) => boolean,
  nm: ArrayLike<number> | undefined,
): string {
  const runs: string[] = [];
  const name = (i: number): string => String(nm ? nm[i] : i + 1);
  for (let i = 0; i < values.length; i++) {
    if (!test(values[i])) continue;
    let last = i;
    for (; last + 1 < values.length && test(values[last + 1]); last++);
    runs.push(last === i ? name(i) : `${name(i)}–${name(last)}`);
    i = last;
  }
  if (runs.length === 0) return "";
  return nm ? `${runs.join(", ")} nm` : `point ${runs.join(", ")}`;
}
