import { aboveZero, within } from "../../src/colour/checks.ts";

// What a smooth boundary between two clear media reflects, from their refractive indices. The constants of the
// interface correction come from here when the index of the film is known.

/**
 * Reflectance of a boundary at normal incidence, ((n₁ − n₂)/(n₁ + n₂))². Between a pigment and its binder it tells
 * how strongly the pigment can scatter.
 *
 * @param index refractive index of one side, > 0   @param otherIndex of the other side; air by default
 * @throws RangeError for an index not above 0
 * Source: Fresnel's equations.
 */
export function normalReflectance(index: number, otherIndex = 1): number {
  aboveZero("refractive index", index);
  aboveZero("refractive index of the other side", otherIndex);
  return ((index - otherIndex) / (index + otherIndex)) ** 2;
}

/**
 * Reflectance of a boundary for one unpolarised ray.
 *
 * @param from refractive index where the ray comes from   @param to index beyond the boundary
 * @param cosine cosine of the angle between ray and normal, 0 grazing … 1 normal
 * @returns 0…1; 1 beyond the critical angle
 * @throws RangeError for a value out of range
 * Source: Fresnel's equations, mean of both polarisations.
 */
export function rayReflectance(from: number, to: number, cosine: number): number {
  aboveZero("refractive index where the ray comes from", from);
  aboveZero("refractive index beyond the boundary", to);
  within("cosine of the angle of incidence", cosine, 0, 1);
  const sine = (from / to) * Math.sqrt(1 - cosine * cosine);
  if (sine >= 1) return 1;
  const beyond = Math.sqrt(1 - sine * sine);
  const across = (from * cosine - to * beyond) / (from * cosine + to * beyond);
  const along = (from * beyond - to * cosine) / (from * beyond + to * cosine);
  return (across * across + along * along) / 2;
}

/**
 * Cosine of the critical angle inside a film under air: flatter rays are reflected totally.
 *
 * @throws RangeError for an index below 1
 */
export function criticalCosine(index: number): number {
  within("refractive index", index, 1, 10);
  return Math.sqrt(1 - 1 / (index * index));
}

/**
 * Reflectance of the surface of a film for diffuse (Lambertian, unpolarised) light from outside.
 *
 * @param index refractive index of the film over air, 1.01…10 (nearer to 1 the closed form loses its digits)
 * @throws RangeError outside that range
 * Source: closed form of Walsh, as given in Prahl, thesis 1988, eq. B41; values in Judd 1942.
 */
export function diffuseExternalReflectance(index: number): number {
  within("refractive index", index, 1.01, 10);
  const n = index;
  const n2 = n * n;
  const n4 = n2 * n2;
  return (
    1 / 2 +
    ((n - 1) * (3 * n + 1)) / (6 * (n + 1) ** 2) +
    ((n2 * (n2 - 1) ** 2) / (n2 + 1) ** 3) * Math.log((n - 1) / (n + 1)) -
    (2 * n * n2 * (n2 + 2 * n - 1)) / ((n2 + 1) * (n4 - 1)) +
    ((8 * n4 * (n4 + 1)) / ((n2 + 1) * (n4 - 1) ** 2)) * Math.log(n)
  );
}

/**
 * Reflectance of the surface of a film for diffuse light from inside; the theoretical k2.
 *
 * @param index refractive index of the film under air, 1.01…10
 * @throws RangeError outside that range
 * Source: 1 − r_int = (1 − r_ext)/n², since as much light must pass one way as the other (Judd 1942).
 */
export function diffuseInternalReflectance(index: number): number {
  return 1 - (1 - diffuseExternalReflectance(index)) / (index * index);
}
