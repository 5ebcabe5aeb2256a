import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { resampleToGrid } from "../../src/colour/resample.ts";
import { curveSpread, curvesWithLab } from "../../src/curves/curveSpread.ts";
import { smoothestCurve } from "../../src/curves/smoothestCurve.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cases } from "../howMuch.ts";
import testColoursCsv from "../reference/cie_test_colour_samples_5nm.csv?raw";
import chartCsv from "../reference/colorchecker24_reflectance_babelcolor_average.csv?raw";
import munsellCsv from "../reference/munsell_nickerson_reflectance.csv?raw";

function spectraOf(csv: string, file: string): Float64Array[] {
  const table = parseCsvTable(csv, file);
  const nm = numberColumn(table, "wavelength_nm");
  return table.columns
    .filter((column) => column !== "wavelength_nm")
    .map((column) => resampleToGrid(nm, numberColumn(table, column)).values);
}

const munsell = spectraOf(munsellCsv, "munsell_nickerson_reflectance.csv");
const chart = spectraOf(chartCsv, "colorchecker24_reflectance_babelcolor_average.csv");
const testColours = spectraOf(testColoursCsv, "cie_test_colour_samples_5nm.csv");
const daylight = weightsFor("1964-10", "D65");
const LabOf = (R: Float64Array, weights = daylight): Float64Array =>
  reflectanceToLab(R, weights, new Float64Array(3));

/** Sum of squared steps of ln(R / (1 − R)), which the smoothest curve makes least. */
function roughness(R: Float64Array): number {
  let sum = 0;
  const z = R.map((value) => Math.log(value / (1 - value)));
  for (let i = 1; i < z.length; i++) sum += (z[i] - z[i - 1]) ** 2;
  return sum;
}

describe("smoothestCurve", () => {
  // Measured chips: D. Nickerson. Bound: ΔE00 0.01 (acceptance limit of this workbench).
  test.each(["1931-2", "1964-10"] as const)(
    "231 Munsell chips, observer %s: each Lab within 0.01, curves within 0…1",
    (observer) => {
      const weights = weightsFor(observer, "D65");
      expect(munsell.length).toBe(231);
      for (const R of munsell) {
        const Lab = LabOf(R, weights);
        const curve = smoothestCurve(Lab, weights);
        expect(curve.status).toBe("converged");
        expect(deltaE2000(Lab, LabOf(curve.reflectance, weights))).toBeLessThan(0.01);
        expect(Math.min(...curve.reflectance)).toBeGreaterThan(0);
        expect(Math.max(...curve.reflectance)).toBeLessThan(1);
        // The chip itself has this Lab, so the smoothest curve cannot be rougher.
        expect(roughness(curve.reflectance)).toBeLessThanOrEqual(roughness(R) * (1 + 1e-9));
      }
    },
  );

  test.each([0, 10, 50, 90, 100])("grey of L* %i gives a flat curve (identity)", (L) => {
    const { reflectance, status } = smoothestCurve([L, 0, 0], daylight);
    expect(status).toBe("converged");
    for (const value of reflectance) expect(value).toBeCloseTo(reflectance[0], 9);
    const f = (L + 16) / 116;
    const Y = L > 8 ? f ** 3 : (L * 27) / 24389; // source: ISO/CIE 11664-4, reverse
    expect(Math.abs(reflectance[0] - Y)).toBeLessThan(2e-4);
  });

  test("no curve with the same Lab near it is smoother: small moves that keep the Lab raise the roughness", () => {
    const Lab = [42, 48, 28];
    const { reflectance } = smoothestCurve(Lab, daylight);
    const best = roughness(reflectance);
    for (const other of curvesWithLab(Lab, daylight, 40, 3)) expect(roughness(other)).toBeGreaterThan(best);
  });

  // Limits of surface colours by linear programming: the most extreme chroma at a lightness and hue is reached by
  // curves that are 0 or 1 but for two steps (Schrödinger 1920, MacAdam 1935); found here by search over the steps.
  test.each([
    [40, 35],
    [60, 100],
    [50, 150],
    [30, 300],
    [70, 330],
    [25, 60],
  ])("reaches the limit of surface colours at L* %i, hue %i°", (L, hue) => {
    const limit = largestChroma(L, hue);
    const at = (chroma: number): string => {
      const angle = (hue * Math.PI) / 180;
      return smoothestCurve([L, chroma * Math.cos(angle), chroma * Math.sin(angle)], daylight).status;
    };
    expect(at(0.97 * limit)).toBe("converged");
    expect(at(1.03 * limit)).toBe("infeasible");
  });

  test("a Lab that no surface can have: the nearest of the same lightness and hue, and a plain note", () => {
    const curve = smoothestCurve([40, 120, 60], daylight);
    expect(curve.status).toBe("infeasible");
    expect(curve.deltaE).toBeGreaterThan(5);
    expect(curve.Lab[0]).toBeCloseTo(40, 3);
    expect(Math.atan2(curve.Lab[2], curve.Lab[1])).toBeCloseTo(Math.atan2(60, 120), 3);
    expect(curve.notes.join()).toContain("No surface can have this Lab under D65");
  });

  test("what is no Lab is refused", () => {
    expect(() => smoothestCurve([50, 0], daylight)).toThrow(TypeError);
    expect(() => smoothestCurve([50, Number.NaN, 0], daylight)).toThrow(RangeError);
    expect(() => smoothestCurve([101, 0, 0], daylight)).toThrow("L* = 101");
    expect(() => smoothestCurve([-1, 0, 0], daylight)).toThrow(RangeError);
  });

  test("any Lab: a curve within 0…1 that has it, or the nearest and its distance", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 100, noNaN: true }),
        fc.double({ min: -150, max: 150, noNaN: true }),
        fc.double({ min: -150, max: 150, noNaN: true }),
        fc.constantFrom("D65", "A", "FL11", "LED-B3"),
        (L, a, b, light) => {
          const weights = weightsFor("1931-2", light);
          const { status, reflectance, deltaE } = smoothestCurve([L, a, b], weights);
          expect(reflectance.every((value) => value >= 0 && value <= 1)).toBe(true);
          const own = deltaE2000([L, a, b], LabOf(reflectance, weights));
          expect(own).toBeCloseTo(deltaE, 9);
          expect(own <= 0.005).toBe(status === "converged");
        },
      ),
      { seed: 101, numRuns: cases(1000) },
    );
  });
});

/** Largest chroma at a lightness and hue over curves with two steps, steps between grid points by fractions. */
function largestChroma(L: number, hue: number): number {
  const n = daylight.x.length;
  const curve = new Float64Array(n);
  const out = new Float64Array(3);
  // Curve that is 1 between places p and q of a circle of wavelengths, 0 elsewhere.
  const fill = (p: number, q: number): void => {
    for (let i = 0; i < n; i++) {
      const within = (from: number, to: number): number =>
        Math.max(0, Math.min(to, i + 1) - Math.max(from, i));
      curve[i] = q <= n ? within(p, q) : within(p, n) + within(0, q - n);
    }
  };
  // For each first step the second one that gives the lightness, by bisection (lightness grows with the width);
  // then the same more finely around the first step whose hue came nearest.
  let best = { p: 0, miss: Number.POSITIVE_INFINITY, chroma: 0 };
  const firstSteps = function* (): Generator<number> {
    for (let p = 0; p < n; p += 0.02) yield p;
    const { p: near } = best;
    for (let p = Math.max(near - 0.04, 0); p < near + 0.04; p += 0.0001) yield p;
  };
  for (const p of firstSteps()) {
    let low = p;
    let high = p + n;
    for (let k = 0; k < 40; k++) {
      const middle = (low + high) / 2;
      fill(p, middle);
      if (reflectanceToLab(curve, daylight, out)[0] < L) low = middle;
      else high = middle;
    }
    fill(p, low);
    reflectanceToLab(curve, daylight, out);
    const turn = ((Math.atan2(out[2], out[1]) * 180) / Math.PI - hue + 540) % 360;
    const miss = Math.abs(turn - 180);
    if (miss < best.miss) best = { p, miss, chroma: Math.hypot(out[1], out[2]) };
  }
  expect(best.miss).toBeLessThan(0.5);
  return best.chroma;
}

describe("curveSpread", () => {
  const lights = ["A", "FL11", "FL2", "LED-B3"].map((light) => weightsFor("1964-10", light));

  test("every curve has the Lab, lies within 0…1, and differs from the smoothest; the same seed gives the same curves", () => {
    const Lab = [42, 48, 28];
    const { others, smoothest } = curveSpread(Lab, daylight, lights);
    expect(others.length).toBe(64);
    for (const R of others) {
      expect(deltaE2000(Lab, LabOf(R))).toBeLessThan(0.01);
      expect(R.every((value) => value > 0 && value < 1)).toBe(true);
      expect(R.some((value, i) => Math.abs(value - smoothest.reflectance[i]) > 0.005)).toBe(true);
    }
    expect(curveSpread(Lab, daylight, lights).others[7]).toEqual(others[7]);
    expect(curveSpread(Lab, daylight, lights, 64, 2).others[7]).not.toEqual(others[7]);
  });

  test("under the light of the Lab there is no spread (identity)", () => {
    const [own] = curveSpread([42, 48, 28], daylight, [daylight]).lights;
    expect(own.largest).toBeLessThan(0.01);
  });

  // The waviness was set on Munsell chips; measured surfaces of other kinds are the test.
  test("the 90 % band covers measured surfaces: 24-patch chart and the test colours of CIE 13.3, four lights", () => {
    let inside = 0;
    let all = 0;
    for (const R of [...chart, ...testColours]) {
      const { lights: found } = curveSpread(LabOf(R), daylight, lights);
      found.forEach((light, k) => {
        all++;
        if (deltaE2000(light.Lab, LabOf(R, lights[k])) <= light.ninety) inside++;
      });
    }
    expect(all).toBe(4 * (24 + 14));
    expect(inside / all).toBeGreaterThanOrEqual(0.8);
    expect(inside / all).toBeLessThanOrEqual(0.97);
  });

  test("a Lab that no surface can have has no spread, and says why", () => {
    const { others, smoothest, lights: found } = curveSpread([40, 120, 60], daylight, lights);
    expect(others).toEqual([]);
    expect(smoothest.status).toBe("infeasible");
    expect(found[0].largest).toBe(0);
  });
});
