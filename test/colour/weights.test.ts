import { describe, expect, test } from "vitest";
import { spectralGrid, workingGrid } from "../../src/colour/grid.ts";
import type { IlluminantTable } from "../../src/colour/illuminant.ts";
import type { ObserverName } from "../../src/colour/observer.ts";
import { tristimulusWeights, unfoldedWeights } from "../../src/colour/weights.ts";
import { reflectanceToXYZ } from "../../src/colour/XYZ.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { illuminantNames, illuminantTable } from "../../src/tables/illuminants.ts";
import { observerNames, observerTable } from "../../src/tables/observers.ts";
import astmD65 from "../reference/weights_astm_e2022_D65_1931_20nm.csv?raw";
import astmA10 from "../reference/weights_astm_e2022_illA_1964_10nm.csv?raw";
import astmA20 from "../reference/weights_astm_e2022_illA_1964_20nm.csv?raw";
import computed from "../reference/weights_computed_e2022_method_10nm.csv?raw";
import { summationWeights } from "./summationWeights.ts";

const axes = ["x", "y", "z"] as const;

describe("weights by the method of ASTM E2022", () => {
  // source: weighting factors of ASTM E2022, three decimals. Tolerance: half of the last printed digit.
  test.each<[string, ObserverName, string, number, string]>([
    ["A", "1964-10", "10 nm", 10, astmA10],
    ["A", "1964-10", "20 nm", 20, astmA20],
    ["D65", "1931-2", "20 nm", 20, astmD65],
  ])("%s, %s, %s agree with the published table", (illuminant, observer, _, step, text) => {
    const table = parseCsvTable(text, "published weights");
    const own = unfoldedWeights(observerTable(observer), illuminantTable(illuminant), step);
    for (const axis of axes) {
      const published = numberColumn(table, `W${axis}`);
      expect(published.length).toBe(own[axis].length);
      published.forEach((value, i) => {
        expect(Math.abs(own[axis][i] - value)).toBeLessThanOrEqual(0.5e-3 + 1e-12);
      });
    }
  });

  // source: an independent implementation of the ASTM E2022 method (colour-science 0.4.6), six decimals.
  // Tolerance: half of the last printed digit.
  const table = parseCsvTable(computed, "computed weights");
  const lights = ["D65", "D50", "A", "FL2", "FL11", "LED-B3"];
  test.each(observerNames.flatMap((observer) => lights.map((light) => [light, observer] as const)))(
    "%s, %s agree with an independent computation",
    (illuminant, observer) => {
      const own = unfoldedWeights(observerTable(observer), illuminantTable(illuminant), 10);
      for (const axis of axes) {
        const column = `${illuminant}_${observer === "1931-2" ? 2 : 10}deg_W${axis}`;
        const expected = numberColumn(table, column);
        expect(expected.length).toBe(own[axis].length);
        expected.forEach((value, i) => {
          expect(Math.abs(own[axis][i] - value)).toBeLessThanOrEqual(0.5e-6 + 1e-12);
        });
      }
    },
  );

  // An independent slow method: read the reflectance off its piecewise curve at every nm, multiply, sum.
  test.each([
    ["D65", "1964-10"],
    ["FL11", "1931-2"],
    ["LED-B3", "1964-10"],
  ] as const)("%s, %s give what interpolating to 1 nm and summing gives", (illuminant, observer) => {
    const { wavelengths, x, y, z } = observerTable(observer);
    const light = illuminantTable(illuminant);
    const readings = Float64Array.from({ length: 36 }, (_, i) => 0.5 + 0.4 * Math.sin(i / 3 + (i * i) / 90));
    const extended = (k: number) => readings[Math.min(Math.max(k, 0), 35)]; // held beyond 380 and 730 nm
    const sums = [0, 0, 0];
    let norm = 0;
    wavelengths.forEach((nm, at) => {
      const power = powerAt(light, nm);
      // Reading numbers count from 380 nm; the whole range is −2 (360 nm) … 45 (830 nm).
      const k = Math.min(Math.floor((nm - 380) / 10), 44);
      const nodes = [k - 1, k, k + 1, k + 2].filter((node) => node >= -2 && node <= 45);
      let R = 0;
      for (const n of nodes) {
        let basis = extended(n);
        for (const m of nodes) if (m !== n) basis *= ((nm - 380) / 10 - m) / (n - m);
        R += basis;
      }
      sums[0] += R * power * x[at];
      sums[1] += R * power * y[at];
      sums[2] += R * power * z[at];
      norm += power * y[at];
    });
    const own = reflectanceToXYZ(
      readings,
      tristimulusWeights(observerTable(observer), light, workingGrid),
      new Float64Array(3),
    );
    // Rounding only: sums of 471 products of about 100.
    own.forEach((value, i) => {
      expect(value).toBeCloseTo((100 * sums[i]) / norm, 10);
    });
  });

  test("folding moves weights to the ends of the grid and loses none", () => {
    // identity: a reflectance that is constant has the colour of the white, however far its readings reach
    for (const illuminant of illuminantNames) {
      const whole = unfoldedWeights(observerTable("1964-10"), illuminantTable(illuminant), 10);
      const folded = tristimulusWeights(observerTable("1964-10"), illuminantTable(illuminant), workingGrid);
      expect(folded.white[1]).toBeCloseTo(100, 10);
      for (const i of [0, 2]) expect(folded.white[i]).toBeCloseTo(whole.white[i], 10);
      const firstThree = whole.x[0] + whole.x[1] + whole.x[2]; // 360, 370, 380 nm
      expect(folded.x[0]).toBeCloseTo(firstThree, 12);
      expect(folded.x[1]).toBe(whole.x[3]);
    }
  });

  test("a sum at 10 nm would lose the lines of a three-band lamp", () => {
    // identity: the white of one lamp does not depend on the step; at 5 nm the table is complete
    const observer = observerTable("1964-10");
    const lamp = illuminantTable("FL11");
    const fine = summationWeights(observer, lamp, spectralGrid(380, 780, 5)).white;
    const coarse = summationWeights(observer, lamp, spectralGrid(380, 730, 10)).white;
    const own = tristimulusWeights(observer, lamp, workingGrid).white;
    expect(Math.abs(coarse[0] - fine[0])).toBeGreaterThan(1);
    expect(Math.abs(own[0] - fine[0])).toBeLessThan(0.1);
  });

  test("refuses a grid that does not fit", () => {
    const observer = observerTable("1931-2");
    const light = illuminantTable("D65");
    expect(() => tristimulusWeights(observer, light, spectralGrid(350, 730, 10))).toThrow(RangeError);
    expect(() => tristimulusWeights(observer, light, spectralGrid(385, 735, 10))).toThrow(/whole steps/);
    expect(() => tristimulusWeights(observer, light, spectralGrid(400, 700, 150))).toThrow(RangeError);
    expect(() => summationWeights(observer, light, spectralGrid(380, 840, 10))).toThrow(RangeError);
    expect(() =>
      reflectanceToXYZ(
        new Float64Array(31),
        tristimulusWeights(observer, light, workingGrid),
        new Float64Array(3),
      ),
    ).toThrow(/31 values, but 36/);
  });
});

function powerAt({ wavelengths, power, beyond }: IlluminantTable, nm: number): number {
  const last = wavelengths.length - 1;
  if (nm < wavelengths[0]) return beyond === "held" ? power[0] : 0;
  if (nm > wavelengths[last]) return beyond === "held" ? power[last] : 0;
  const right = wavelengths.findIndex((at) => at >= nm);
  if (wavelengths[right] === nm) return power[right];
  const share = (nm - wavelengths[right - 1]) / (wavelengths[right] - wavelengths[right - 1]);
  return power[right - 1] * (1 - share) + power[right] * share;
}
