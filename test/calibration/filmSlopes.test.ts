import { describe, expect, test } from "vitest";
import {
  createFilmParts,
  createFilmSlopes,
  filmPartsInto,
  filmSlopesInto,
} from "../../src/calibration/filmSlopes.ts";
import { filmReflectance } from "../../src/optics/film.ts";

const at = (K: number, S: number, X: number, Rg: number) => {
  const parts = createFilmParts();
  const slopes = createFilmSlopes();
  filmPartsInto(K, S, X, parts);
  filmSlopesInto(parts, X, Rg, slopes);
  return slopes;
};

const films: [K: number, S: number, X: number, Rg: number][] = [
  [0.03, 0.1, 30, 0.8],
  [0.5, 0.02, 12, 0.05],
  [1e-5, 2e-5, 30, 0.8], // nearly clear
  [1e-4, 0.5, 40, 0.02], // nearly pure scatterer
  [0.2, 1e-6, 10, 0.9], // nearly pure absorber
  [3, 1.2, 0.4, 0.82],
  [0.0009, 0.0011, 50, 0.4], // BX just below the change from series to closed form
  [0.0011, 0.0013, 52, 0.4], // and just above
];

describe("filmSlopesInto", () => {
  test.each(films)("K %d, S %d, X %d, Rg %d: value as in the optics", (K, S, X, Rg) => {
    expect(at(K, S, X, Rg).R).toBeCloseTo(filmReflectance(K, S, X, Rg), 13); // identity: the same film
  });

  test.each(films)("K %d, S %d, X %d, Rg %d: derivatives as by differences", (K, S, X, Rg) => {
    // Central differences with a relative step of 1e-4: error about 1e-8 of the third derivative.
    const slope = (of: (step: number) => number) => (of(1e-4) - of(-1e-4)) / 2e-4;
    const { dK, dS, dLogX, dRg } = at(K, S, X, Rg);
    const near = (own: number, byDifferences: number) =>
      expect(Math.abs(own - byDifferences)).toBeLessThan(1e-6 * Math.abs(byDifferences) + 1e-11);
    near(
      dK * K,
      slope((h) => filmReflectance(K * (1 + h), S, X, Rg)),
    );
    near(
      dS * S,
      slope((h) => filmReflectance(K, S * (1 + h), X, Rg)),
    );
    near(
      dLogX,
      slope((h) => filmReflectance(K, S, X * Math.exp(h), Rg)),
    );
    near(
      dRg * Rg,
      slope((h) => filmReflectance(K, S, X, Rg * (1 + h))),
    );
  });

  test("a film without K, without S, or without thickness needs no case of its own", () => {
    for (const [K, S, X] of [
      [0, 0, 30],
      [0, 0.1, 30],
      [0.1, 0, 30],
      [0.1, 0.1, 0],
      [50, 20, 1e6],
    ]) {
      const { R, dK, dS, dLogX, dRg } = at(K, S, X, 0.5);
      for (const value of [R, dK, dS, dLogX, dRg]) expect(Number.isFinite(value)).toBe(true);
    }
  });
});
