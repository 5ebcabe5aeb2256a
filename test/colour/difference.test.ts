import { differenceCiede2000 } from "culori";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type DifferenceFormula,
  deltaE94,
  deltaE2000,
  deltaE2000TermsInto,
  deltaEab,
  deltaECMC,
  differenceFormulas,
  differenceOf,
  LChDifferenceOf,
} from "../../src/colour/difference.ts";
import { parseCsvTable } from "../../src/tables/csvTable.ts";
import sharma from "../reference/ciede2000_sharma_34_pairs.csv?raw";
import metrics from "../reference/delta_e_metrics_on_sharma_pairs.csv?raw";

type Lab = [number, number, number];

const pairs = parseCsvTable(sharma, "ciede2000_sharma_34_pairs.csv").rows.map((row) => ({
  pair: row.number("pair"),
  first: [row.number("L1"), row.number("a1"), row.number("b1")] as Lab,
  second: [row.number("L2"), row.number("a2"), row.number("b2")] as Lab,
  dE00: row.number("dE00"),
}));

describe("deltaE2000", () => {
  test("there are 34 published pairs", () => expect(pairs.length).toBe(34));

  // source: Sharma, Wu, Dalal 2005, table 1. Tolerance: half of the last printed digit.
  test.each(pairs)("pair $pair has the published difference, either way round", ({ first, second, dE00 }) => {
    expect(Math.abs(deltaE2000(first, second) - dE00)).toBeLessThanOrEqual(0.5e-4);
    expect(Math.abs(deltaE2000(second, first) - dE00)).toBeLessThanOrEqual(0.5e-4);
  });

  const coordinate = fc.double({ min: -128, max: 128, noNaN: true });
  const anyLab = fc.tuple(fc.double({ min: 0, max: 100, noNaN: true }), coordinate, coordinate);
  const random = { seed: 2000, numRuns: 2000 };

  test("agrees with an independent implementation on random pairs", () => {
    // source: culori, CIEDE2000 with angles in full. Tolerance: rounding.
    const independent = differenceCiede2000(1, 1, 1);
    const independent2 = differenceCiede2000(2, 1.5, 0.7);
    const lab = ([l, a, b]: Lab) => ({ mode: "lab65" as const, l, a, b });
    fc.assert(
      fc.property(anyLab, anyLab, (first, second) => {
        // Where the hues stand exactly opposite, the mean hue is undefined and implementations part.
        const apart = Math.abs(Math.atan2(first[2], first[1]) - Math.atan2(second[2], second[1]));
        fc.pre(Math.abs(apart - Math.PI) > 1e-3);
        expect(Math.abs(deltaE2000(first, second) - independent(lab(first), lab(second)))).toBeLessThan(1e-9);
        expect(
          Math.abs(deltaE2000(first, second, 2, 1.5, 0.7) - independent2(lab(first), lab(second))),
        ).toBeLessThan(1e-9);
      }),
      random,
    );
  });

  test("is symmetric, and zero for equal colours only", () => {
    // identity: ISO/CIE 11664-6 uses means of the two colours throughout
    fc.assert(
      fc.property(anyLab, anyLab, (first, second) => {
        expect(Math.abs(deltaE2000(first, second) - deltaE2000(second, first))).toBeLessThan(1e-9);
        expect(deltaE2000(first, first)).toBe(0);
        if (deltaEab(first, second) > 1e-3) expect(deltaE2000(first, second)).toBeGreaterThan(0);
      }),
      random,
    );
  });

  test("its terms put together again give it", () => {
    // identity: ΔE00² = L² + C² + H² + RT·C·H
    fc.assert(
      fc.property(anyLab, anyLab, (first, second) => {
        const [L, C, H, RT] = deltaE2000TermsInto(first, second, new Float64Array(4));
        expect(Math.sqrt(Math.max(L * L + C * C + H * H + RT * C * H, 0))).toBeCloseTo(
          deltaE2000(first, second),
          10,
        );
      }),
      random,
    );
  });

  test("lightness counts half with kL = 2", () => {
    // identity: for neutrals ΔE00 is ΔL′/(kL·SL)
    expect(deltaE2000([40, 0, 0], [46, 0, 0], 2)).toBeCloseTo(deltaE2000([40, 0, 0], [46, 0, 0]) / 2, 12);
  });
});

describe("all formulas", () => {
  // source: the 34 pairs of Sharma, Wu, Dalal 2005 computed independently with colour-science 0.4.6, ten digits,
  // first colour as standard. Tolerance: the last printed digit (values up to 100).
  test.each(
    parseCsvTable(metrics, "delta_e_metrics_on_sharma_pairs.csv").rows.map(
      (row) => [row.number("pair"), row] as const,
    ),
  )("pair %d agrees with an independent computation", (number, row) => {
    const { first, second } = pairs.find(({ pair }) => pair === number)!;
    const own = {
      dE76: deltaEab(first, second),
      dE94_graphic: deltaE94(first, second, "graphic"),
      dE94_textile: deltaE94(first, second, "textile"),
      dECMC_1_1: deltaECMC(first, second, 1, 1),
      dECMC_2_1: deltaECMC(first, second, 2, 1),
      dE00_1_1_1: deltaE2000(first, second),
      dE00_2_1_1: deltaE2000(first, second, 2),
    };
    for (const [field, value] of Object.entries(own)) {
      expect(Math.abs(value / row.number(field) - 1), field).toBeLessThan(2e-9);
    }
  });

  const blue: Lab = [100, 21.57210357, 272.2281935];
  test.each([
    // source: test values of the colour-science library, recomputed; seven decimals
    [[100, 426.67945353, 72.39590835], 451.713302, 83.7792255, 88.3355531, 172.7047713],
    [[100, 74.05216981, 276.45318193], 52.6498612, 10.053932, 10.6126579, 20.5973272],
  ] as const)("against %j", (sample, dE76, graphic, textile, cmc) => {
    expect(Math.abs(deltaEab(blue, sample) - dE76)).toBeLessThan(1e-6);
    expect(Math.abs(deltaE94(blue, sample, "graphic") - graphic)).toBeLessThan(1e-6);
    expect(Math.abs(deltaE94(blue, sample, "textile") - textile)).toBeLessThan(1e-6);
    // equal lightness: the weight of lightness must not matter
    expect(Math.abs(deltaECMC(blue, sample, 1, 1) - cmc)).toBeLessThan(1e-6);
    expect(Math.abs(deltaECMC(blue, sample, 2, 1) - cmc)).toBeLessThan(1e-6);
  });

  test.each([
    // source: CIE 15:2004, CIE 116-1995, ISO 105-J03, ISO/CIE 11664-6, worked through for pairs of reds; five decimals
    [
      [38.5, 45.2, 24.1],
      [39.3, 44, 23],
      [1.81384, 0.95991, 0.65192, 1.08645, 0.79769, 0.88093],
    ],
    [
      [30, 38, 15],
      [29.2, 39.1, 16.4],
      [1.95192, 1.11172, 0.86463, 1.36089, 1.05304, 0.99059],
    ],
    [
      [12, 20, 8],
      [12.6, 19.2, 8.3],
      [1.04403, 0.80944, 0.62083, 1.36295, 0.90755, 0.70241],
    ],
  ] as const)("red %j", (reference, sample, expected) => {
    const own = [
      deltaEab(reference, sample),
      deltaE94(reference, sample, "graphic"),
      deltaE94(reference, sample, "textile"),
      deltaECMC(reference, sample, 1, 1),
      deltaECMC(reference, sample, 2, 1),
      deltaE2000(reference, sample),
    ];
    // Tolerance: half of the last printed digit.
    own.forEach((value, i) => {
      expect(Math.abs(value - expected[i])).toBeLessThanOrEqual(0.5e-5 + 1e-12);
    });
  });

  test("ΔE94 and CMC depend on which colour is the standard", () => {
    // source: published test values of a general colour library (ΔE*ab 4.0011, ΔE94 1.3653); four decimals
    const first: Lab = [50, 2.6772, -79.7751];
    const second: Lab = [50, 0, -82.7485];
    expect(deltaEab(first, second)).toBeCloseTo(4.0011, 4);
    expect(deltaE94(second, first, "graphic")).toBeCloseTo(1.3653, 4);
    expect(deltaE94(first, second, "graphic")).not.toBeCloseTo(1.3653, 2);
    expect(deltaECMC(first, second, 1, 1)).not.toBeCloseTo(deltaECMC(second, first, 1, 1), 2);
  });

  test("ΔE94 takes constants of its own", () => {
    // identity: "textile" is (2; 0.048; 0.014); without weights it is ΔE*ab
    const pair: [Lab, Lab] = [
      [30, 38, 15],
      [29.2, 39.1, 16.4],
    ];
    expect(deltaE94(...pair, { kL: 2, K1: 0.048, K2: 0.014 })).toBe(deltaE94(...pair, "textile"));
    expect(deltaE94(...pair, { kL: 1, K1: 0, K2: 0 })).toBeCloseTo(deltaEab(...pair), 12);
  });

  test("ΔL*, ΔC* and ΔH* make up ΔE*ab and keep their signs", () => {
    // identity: ISO/CIE 11664-4; seeded
    const any = fc.tuple(
      fc.double({ min: 0, max: 100, noNaN: true }),
      fc.double({ min: -90, max: 90, noNaN: true }),
      fc.double({ min: -90, max: 90, noNaN: true }),
    );
    fc.assert(
      fc.property(any, any, (first, second) => {
        const { lightness, chroma, hue } = LChDifferenceOf(first, second);
        // Loosest next to opposite hues, where √ of a rounded near-zero enters.
        expect(Math.abs(Math.hypot(lightness, chroma, hue) - deltaEab(first, second))).toBeLessThan(1e-5);
      }),
      { seed: 76, numRuns: 1000 },
    );
    expect(LChDifferenceOf([50, 40, 0], [51, 40, 1]).hue).toBeGreaterThan(0);
    expect(LChDifferenceOf([50, 40, 0], [51, 40, -1]).hue).toBeLessThan(0);
    expect(LChDifferenceOf([50, 40, 0], [50, 30, 0])).toEqual({ lightness: 0, chroma: -10, hue: 0 });
  });

  test("each name leads to its formula", () => {
    const pair: [Lab, Lab] = [
      [38.5, 45.2, 24.1],
      [39.3, 44, 23],
    ];
    // source: worked through from the standards, as above
    const expected: Record<DifferenceFormula, number> = {
      ΔE00: 0.88093,
      "ΔE*ab": 1.81384,
      ΔE94: 0.95991,
      "CMC(2:1)": 0.79769,
      "CMC(1:1)": 1.08645,
    };
    expect([...differenceFormulas].sort()).toEqual(Object.keys(expected).sort());
    for (const formula of differenceFormulas) {
      expect(differenceOf(formula)(...pair)).toBeCloseTo(expected[formula], 5);
    }
    expect(() => differenceOf("ΔE" as DifferenceFormula)).toThrow(/"ΔE" is unknown/);
  });
});
