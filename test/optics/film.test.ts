import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  filmAbsorptance,
  filmLayer,
  filmReflectance,
  filmReflectanceInto,
  filmRT,
  ratioFromReflectivity,
  reflectivity,
  reflectivityInto,
} from "../../src/optics/film.ts";

const seed = 19480448;
const coefficient = fc.oneof(
  fc.double({ min: 0, max: 2, noNaN: true }),
  fc.double({ min: 1e-9, max: 1e-3, noNaN: true }),
  fc.constant(0),
);
const thickness = fc.oneof(fc.double({ min: 0, max: 100, noNaN: true }), fc.constant(0));
const share = fc.double({ min: 0, max: 1, noNaN: true });

describe("K/S and reflectivity", () => {
  // source: Kubelka, Munk 1931, K/S = (1 − R∞)²/2R∞; tolerance: printed digits
  test.each([
    [0.02, 24.01],
    [0.05, 9.025],
    [0.1, 4.05],
    [0.25, 1.125],
    [0.5, 0.25],
    [0.8, 0.025],
    [0.9, 0.005556],
  ])("R∞ = %d belongs to K/S = %d and back", (Rinf, ratio) => {
    expect(Math.abs(ratioFromReflectivity(Rinf) - ratio)).toBeLessThan(5.1e-7);
    expect(Math.abs(reflectivity(ratioFromReflectivity(Rinf), 1) - Rinf)).toBeLessThan(1e-9);
  });

  test("only the ratio of K and S counts, down to very small reflectivities", () => {
    // identity: R∞ → S/2K for S ≪ K
    expect(reflectivity(2e6, 1) / (1 / 4e6) - 1).toBeLessThan(1e-6);
    expect(reflectivity(2e6, 1)).toBeGreaterThan(0);
    expect(reflectivity(0.03, 0.1)).toBeCloseTo(reflectivity(3, 10), 15);
  });

  test("edges: no absorption reflects all, no scattering nothing", () => {
    expect(reflectivity(0, 0.3)).toBe(1); // identity: K = 0
    expect(reflectivity(0.3, 0)).toBe(0); // identity: S = 0
    expect(() => reflectivity(0, 0)).toThrow(RangeError);
    expect(() => ratioFromReflectivity(0)).toThrow(RangeError);
    expect(() => ratioFromReflectivity(1.01)).toThrow(RangeError);
    expect(() => reflectivityInto([0.1, 0], [0.1, 0], new Float64Array(2))).toThrow(/point 2/);
  });

  test("whole spectra agree with single wavelengths", () => {
    const out = new Float64Array(3);
    reflectivityInto([0.1, 3, 0], [0.2, 0.1, 1], out); // identity
    expect([...out]).toEqual([reflectivity(0.1, 0.2), reflectivity(3, 0.1), 1]);
  });
});

describe("free film and film over a ground", () => {
  // source: Kubelka 1948, hyperbolic solution; tolerance 1e-6: printed digits
  const films = [
    {
      K: 0.5,
      S: 1,
      X: 1,
      Rg: 0.8,
      a: 1.5,
      b: 1.118034,
      bSX: 1.118034,
      R0: 0.346546,
      T: 0.283648,
      A: 0.369806,
      R: 0.4356,
      Rinf: 0.381966,
    },
    {
      K: 3,
      S: 1.2,
      X: 0.4,
      Rg: 0.82,
      a: 3.5,
      b: 3.354102,
      bSX: 1.609969,
      R0: 0.140188,
      T: 0.195805,
      A: 0.664007,
      R: 0.17571,
      Rinf: 0.145898,
    },
    {
      K: 0.3,
      S: 12,
      X: 0.4,
      Rg: 0.05,
      a: 1.025,
      b: 0.225,
      bSX: 1.08,
      R0: 0.76414,
      T: 0.131997,
      A: 0.103864,
      R: 0.765045,
      Rinf: 0.8,
    },
    {
      K: 20,
      S: 0.8,
      X: 0.15,
      Rg: 0.7,
      a: 26,
      b: 25.980762,
      bSX: 3.117691,
      R0: 0.0192,
      T: 0.044243,
      A: 0.936557,
      R: 0.020589,
      Rinf: 0.019238,
    },
  ];
  test.each(films)("K = $K, S = $S, X = $X over $Rg", ({ K, S, X, Rg, a, b, bSX, R0, T, A, R, Rinf }) => {
    const close = (value: number, expected: number) => expect(Math.abs(value - expected)).toBeLessThan(1e-6);
    const [free, through] = filmRT(K, S, X);
    close(free, R0);
    close(through, T);
    close(1 - free - through, A);
    close(filmAbsorptance(K, S, X), A);
    close(filmReflectance(K, S, X, Rg), R);
    close(filmReflectance(K, S, X, 0), R0);
    close(reflectivity(K, S), Rinf);
    // the printed constants of the hyperbolic form, from our reflectivity
    const r = reflectivity(K, S);
    close((1 / r + r) / 2, a);
    close((1 / r - r) / 2, b);
    close(((1 / r - r) / 2) * S * X, bSX);
  });

  test("agrees with the printed coth form", () => {
    // source: Kubelka 1948, R = [1 − Rg(a − b·coth bSX)]/[a − Rg + b·coth bSX]; away from its poles, so 1e-12 holds
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 2, noNaN: true }),
        fc.double({ min: 0.01, max: 2, noNaN: true }),
        fc.double({ min: 0.1, max: 50, noNaN: true }),
        share,
        (K, S, X, Rg) => {
          const a = 1 + K / S;
          const b = Math.sqrt(a * a - 1);
          const coth = b / Math.tanh(b * S * X);
          const printed = (1 - Rg * (a - coth)) / (a - Rg + coth);
          expect(Math.abs(filmReflectance(K, S, X, Rg) - printed)).toBeLessThan(1e-12);
        },
      ),
      { seed },
    );
  });

  test("agrees with the differential equation integrated step by step", () => {
    // independent method: dR/dX = S − 2(K + S)R + S·R² (Kubelka, Munk 1931), classical Runge-Kutta, error about 1e-13
    const [K, S, X, Rg] = [0.04, 0.09, 25, 0.37];
    const slope = (R: number) => S - 2 * (K + S) * R + S * R * R;
    const steps = 4000;
    const h = X / steps;
    let R = Rg;
    for (let n = 0; n < steps; n++) {
      const k1 = slope(R);
      const k2 = slope(R + (h / 2) * k1);
      const k3 = slope(R + (h / 2) * k2);
      const k4 = slope(R + h * k3);
      R += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
    }
    expect(Math.abs(filmReflectance(K, S, X, Rg) - R)).toBeLessThan(1e-12);
  });

  test.each([
    ["no film shows the substrate", 0.02, 0.1, 0, 0.3, 0.3], // identity: X = 0
    ["nothing in the film shows the substrate", 0, 0, 50, 0.3, 0.3], // identity: K = S = 0
    ["pure scatterer over black", 0, 0.1, 50, 0, 5 / 6], // identity: SX/(SX + 1)
    ["pure scatterer over a white that loses nothing", 0, 0.1, 50, 1, 1], // identity: no absorption anywhere
    ["pure absorber: there and back", 0.01, 0, 50, 0.8, 0.8 * Math.exp(-1)], // identity: Rg·exp(−2KX)
  ])("%s", (_, K, S, X, Rg, expected) => expect(filmReflectance(K, S, X, Rg)).toBeCloseTo(expected, 14));

  test("Beer-Lambert limit, S → 0", () => {
    // source: Beer-Lambert law, R = Rg·exp(−2KX), T = exp(−KX); tolerance 1e-6: printed digits and S = 1e-9
    for (const S of [0, 1e-9]) {
      const [R0, T] = filmRT(1.3, S, 0.6);
      expect(Math.abs(filmReflectance(1.3, S, 0.6, 0.75) - 0.157602)).toBeLessThan(1e-6);
      expect(Math.abs(T - 0.458406)).toBeLessThan(1e-6);
      expect(R0).toBeLessThan(1e-8);
    }
    expect(filmRT(1.3, 0, 0.6)[1]).toBeCloseTo(Math.exp(-0.78), 15);
  });

  test("film that absorbs nothing, K → 0", () => {
    // source: Kubelka 1948, R = [(1 − Rg)SX + Rg]/[(1 − Rg)SX + 1], T = 1/(1 + SX); tolerance 1e-6: printed digits
    for (const K of [0, 1e-12]) {
      const [R0, T] = filmRT(K, 2, 0.75);
      expect(Math.abs(filmReflectance(K, 2, 0.75, 0.1) - 0.617021)).toBeLessThan(1e-6);
      expect(Math.abs(R0 - 0.6)).toBeLessThan(1e-6);
      expect(Math.abs(T - 0.4)).toBeLessThan(1e-6);
    }
    expect(filmReflectance(0, 2, 0.75, 0.1)).toBeCloseTo(1.45 / 2.35, 15);
  });

  test("very thick layer: no overflow", () => {
    // source: Kubelka 1954, limit of a thick layer (bSX = 6708); tolerance 1e-6: printed digits
    const [R0, T] = filmRT(50, 20, 100);
    expect(Math.abs(R0 - 0.145898)).toBeLessThan(1e-6);
    expect(T).toBe(0);
    expect(filmReflectance(50, 20, 100, 0.9)).toBeCloseTo(reflectivity(50, 20), 15);
    // identity: R → R∞ for bSX far beyond what sinh and cosh can hold
    expect(filmReflectance(1e6, 1e6, 1e6, 0.5)).toBeCloseTo(reflectivity(1, 1), 15);
    expect(filmRT(0, 1e12, 1e12)[0]).toBeCloseTo(1, 15);
  });

  test("coat by coat", () => {
    // source: Kubelka 1954, identical coats one on another; tolerance 1e-6: printed digits
    const [K, S, X] = [2.2, 0.35, 0.12];
    const printed = [0.7, 0.420115, 0.262625, 0.175233, 0.127115, 0.100734];
    let R = 0.7;
    printed.forEach((expected, coats) => {
      expect(Math.abs(R - expected)).toBeLessThan(1e-6);
      expect(filmReflectance(K, S, X * coats, 0.7)).toBeCloseTo(R, 14);
      R = filmReflectance(K, S, X, R);
    });
    expect(Math.abs(reflectivity(K, S) - 0.068954)).toBeLessThan(1e-6);
  });

  test("both branches of tanh agree where they meet, and with the library's tanh", () => {
    // identity: with S = 0, Rg = 1 the film shows exp(−2KX); the branches meet at BX = 0.5 and, for T, at 1
    for (const x of [0.1, 0.499999999, 0.5, 0.500000001, 0.99999999, 1, 1.00000001, 3]) {
      expect(filmReflectance(x, 0, 1, 1) / Math.exp(-2 * x)).toBeCloseTo(1, 13);
      expect(filmRT(x, 0, 1)[1] / Math.exp(-x)).toBeCloseTo(1, 14);
      const [K, S] = [x / Math.sqrt(3), x / Math.sqrt(3)];
      const t = Math.tanh(x) / x;
      expect(filmRT(K, S, 1)[0]).toBeCloseTo((S * t) / (1 + (K + S) * t), 15);
    }
  });
});

describe("properties of a film", () => {
  test("shares of a free film stay within 0…1 and sum to 1", () => {
    // identity: conservation of energy, R + T + A = 1
    fc.assert(
      fc.property(coefficient, coefficient, thickness, (K, S, X) => {
        const [R, T] = filmRT(K, S, X);
        const A = filmAbsorptance(K, S, X);
        for (const part of [R, T, A]) expect(part).toBeGreaterThanOrEqual(0);
        expect(Math.abs(R + T + A - 1)).toBeLessThan(1e-14);
      }),
      { seed },
    );
  });

  test("reflectance lies between ground and reflectivity and moves steadily to the reflectivity", () => {
    // source: Kubelka 1948, R(X) is monotone from Rg to R∞; 1e-14 for rounding
    fc.assert(
      fc.property(coefficient, coefficient, thickness, thickness, share, (K, S, X, more, Rg) => {
        fc.pre(K + S > 0);
        const Rinf = reflectivity(K, S);
        const R = filmReflectance(K, S, X, Rg);
        const thicker = filmReflectance(K, S, X + more, Rg);
        expect(R).toBeGreaterThanOrEqual(Math.min(Rg, Rinf) - 1e-14);
        expect(R).toBeLessThanOrEqual(Math.max(Rg, Rinf) + 1e-14);
        expect(Math.abs(thicker - Rinf)).toBeLessThanOrEqual(Math.abs(R - Rinf) + 1e-14);
      }),
      { seed },
    );
  });

  test("two coats equal one thick coat", () => {
    // identity: semigroup in X
    fc.assert(
      fc.property(coefficient, coefficient, thickness, thickness, share, (K, S, X1, X2, Rg) => {
        const twice = filmReflectance(K, S, X2, filmReflectance(K, S, X1, Rg));
        expect(Math.abs(twice - filmReflectance(K, S, X1 + X2, Rg))).toBeLessThan(1e-13);
      }),
      { seed },
    );
  });

  test("free film and film over a ground tell the same story", () => {
    // identity: R = R0 + T²Rg/(1 − R0Rg)
    fc.assert(
      fc.property(coefficient, coefficient, thickness, share, (K, S, X, Rg) => {
        const [R0, T] = filmRT(K, S, X);
        fc.pre(R0 * Rg < 1 - 1e-6);
        expect(Math.abs(filmReflectance(K, S, X, Rg) - (R0 + (T * T * Rg) / (1 - R0 * Rg)))).toBeLessThan(
          1e-10,
        );
      }),
      { seed },
    );
  });
});

describe("whole spectra", () => {
  const K = [0.02, 1.3, 0, 0, 3];
  const S = [0.1, 0, 0.4, 0, 1.2];
  const Rg = Float64Array.of(0.1, 0.3, 0.5, 0.7, 0.9);

  test("agree with single wavelengths", () => {
    const out = new Float64Array(5);
    filmReflectanceInto(K, S, 2.5, Rg, out); // identity
    expect([...out]).toEqual(K.map((k, i) => filmReflectance(k, S[i], 2.5, Rg[i])));
    const outR = new Float64Array(5);
    const outT = new Float64Array(5);
    filmLayer(K, S, 2.5, outR, outT);
    expect([...outR]).toEqual(K.map((k, i) => filmRT(k, S[i], 2.5)[0]));
    expect([...outT]).toEqual(K.map((k, i) => filmRT(k, S[i], 2.5)[1]));
  });

  test("coats can be laid in place", () => {
    const inPlace = Rg.slice();
    filmReflectanceInto(K, S, 1, inPlace, inPlace);
    filmReflectanceInto(K, S, 1.5, inPlace, inPlace);
    const once = new Float64Array(5);
    filmReflectanceInto(K, S, 2.5, Rg, once);
    for (let i = 0; i < 5; i++) expect(inPlace[i]).toBeCloseTo(once[i], 14); // identity: semigroup in X
  });

  test("lengths that differ are refused", () => {
    expect(() => filmReflectanceInto(K, S, 1, Rg, new Float64Array(4))).toThrow(TypeError);
    expect(() => filmReflectanceInto([0.1], S, 1, Rg, new Float64Array(5))).toThrow(TypeError);
    expect(() => filmLayer(K, S, 1, new Float64Array(5), new Float64Array(4))).toThrow(TypeError);
  });
});

test.each([
  ["negative K", -0.1, 0.1, 1, 0.5, /absorption K/],
  ["negative S", 0.1, -0.1, 1, 0.5, /scattering S/],
  ["negative X", 0.1, 0.1, -1, 0.5, /dry thickness X.*µm/],
  ["Rg above 1", 0.1, 0.1, 1, 1.5, /Rg.*0 to 1/],
  ["not a number", Number.NaN, 0.1, 1, 0.5, /absorption K/],
  ["infinite X", 0.1, 0.1, Number.POSITIVE_INFINITY, 0.5, /dry thickness X/],
])("refused: %s", (_, K, S, X, Rg, message) => {
  expect(() => filmReflectance(K, S, X, Rg)).toThrow(RangeError);
  expect(() => filmReflectance(K, S, X, Rg)).toThrow(message);
});
