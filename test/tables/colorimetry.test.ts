import { describe, expect, test } from "vitest";
import { spectralGrid, workingGrid } from "../../src/colour/grid.ts";
import { illuminantAPower } from "../../src/colour/illuminant.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import type { ObserverName } from "../../src/colour/observer.ts";
import { parseCsvTable } from "../../src/tables/csvTable.ts";
import {
  illuminantName,
  illuminantNames,
  illuminantTable,
  labelOfIlluminant,
  tabulatedIlluminant,
} from "../../src/tables/illuminants.ts";
import { observerNames, observerTable } from "../../src/tables/observers.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { summationWeights } from "../colour/summationWeights.ts";
import whitePoints from "../reference/cie_white_points.csv?raw";

const rows = parseCsvTable(whitePoints, "cie_white_points.csv").rows;
const observerOf = (degrees: string): ObserverName => (degrees === "2" ? "1931-2" : "1964-10");
const chromaticity = ([X, Y, Z]: ArrayLike<number> & Iterable<number>) => [X / (X + Y + Z), Y / (X + Y + Z)];

describe("observers", () => {
  test("are tabulated every 1 nm from 360 to 830 nm and peak where they should", () => {
    // source: CIE 15:2004: ȳ is 1 at 555 nm (2°), ȳ₁₀ at 557 nm (10°)
    for (const name of observerNames) {
      const { wavelengths, y } = observerTable(name);
      expect([wavelengths[0], wavelengths[470], wavelengths.length]).toEqual([360, 830, 471]);
      const peak = name === "1931-2" ? 555 : 557;
      expect(y[peak - 360]).toBe(1);
      expect(Math.max(...y)).toBeLessThan(1.00001);
    }
  });

  test("are read once, frozen, and refused when unknown", () => {
    expect(observerTable("1931-2")).toBe(observerTable("1931-2"));
    expect(Object.isFrozen(observerTable("1931-2"))).toBe(true);
    expect(() => observerTable("1931" as ObserverName)).toThrow(/"1931" is unknown/);
  });
});

describe("illuminants", () => {
  test("fifty lights are there, daylight and A normalised to 100 at 560 nm", () => {
    // source: CIE 15:2004, tables of illuminants
    expect(illuminantNames.length).toBe(50);
    for (const name of ["A", "D50", "D55", "D65", "D75"]) {
      const { wavelengths, power } = tabulatedIlluminant(name);
      expect(power[wavelengths.indexOf(560)]).toBeCloseTo(100, 9);
    }
  });

  test("the formula of illuminant A gives its table", () => {
    // source: ISO/CIE 11664-2: table of illuminant A, six significant digits
    const { wavelengths, power } = tabulatedIlluminant("A");
    expect(power.length).toBe(97);
    power.forEach((value, i) => {
      expect(Math.abs(illuminantAPower(wavelengths[i]) / value - 1)).toBeLessThan(6e-6);
    });
  });

  test("the classic names F1 to F12 mean the same lamps", () => {
    expect(illuminantName("F11")).toBe("FL11");
    expect(illuminantTable("F2")).toBe(illuminantTable("FL2"));
    expect(illuminantName("F3.15")).toBe("FL3.15");
    expect(() => illuminantTable("F13")).toThrow(/"F13" is unknown/);
    expect(() => illuminantTable("constructor")).toThrow(/unknown/);
  });

  test("each has words", () => {
    expect(labelOfIlluminant("D65")).toBe("D65 daylight");
    expect(labelOfIlluminant("A")).toBe("A incandescent");
    expect(labelOfIlluminant("F11")).toBe("FL11 three-band lamp");
    expect(labelOfIlluminant("LED-B3")).toMatch(/^LED-B3 /);
    for (const name of illuminantNames)
      expect(labelOfIlluminant(name).length).toBeGreaterThan(name.length + 4);
  });
});

describe("white points", () => {
  // source: CIE 15:2004 and CIE 015:2018, chromaticities printed to four decimals, made by sums at 5 nm from 380 to
  // 780 nm. Tolerance: half of the last printed digit, and a twentieth of it for the tables' own rounding.
  test.each(rows.filter((row) => row.number("observer_deg") === 2 && row.text("illuminant") !== "E"))(
    "$line: sums at 5 nm give the published chromaticity for the 2° observer",
    (row) => {
      const { white } = summationWeights(
        observerTable("1931-2"),
        tabulatedIlluminant(row.text("illuminant")),
        spectralGrid(380, 780, 5),
      );
      const [x, y] = chromaticity(white);
      expect(Math.abs(x - row.number("x"))).toBeLessThan(5.5e-5);
      expect(Math.abs(y - row.number("y"))).toBeLessThan(5.5e-5);
    },
  );

  // source: CIE 15:2004, chromaticities for the 10° observer, five decimals. Tolerance: the weights go to 360 and 830 nm
  // and daylight is held beyond 780 nm, which moves the fifth decimal by up to 3; C, tabulated more coarsely, by up to 7.
  const printed = [
    "A",
    "C",
    "D50",
    "D55",
    "D65",
    "D75",
    ...Array.from({ length: 12 }, (_, i) => `FL${i + 1}`),
  ];
  test.each(printed)("weights for %s give the published chromaticity for the 10° observer", (illuminant) => {
    const row = rows.find(
      (candidate) => candidate.text("illuminant") === illuminant && candidate.number("observer_deg") === 10,
    )!;
    const [x, y] = chromaticity(weightsFor("1964-10", illuminant).white);
    const tolerance = illuminant === "C" ? 7e-5 : 3e-5;
    expect(Math.abs(y - row.number("y"))).toBeLessThan(tolerance);
    // The published x of FL10 (0.35090) cannot be had from its own table: sums at 5 nm and interpolation to 1 nm
    // both give 0.35062, while y and the eleven other lamps agree to the fifth decimal.
    if (illuminant !== "FL10") expect(Math.abs(x - row.number("x"))).toBeLessThan(tolerance);
    else expect(x).toBeCloseTo(0.35062, 4);
  });

  test.each([
    // source: CIE 15:2004, X and Z of the whites for Y = 100, two decimals. Tolerance: half of the last digit, plus
    // 0.02 for the range of the sum (380–780 or 360–830 nm), which bears on Z; C (coarser table) 0.06.
    ...rows
      .filter((row) => row.optionalNumber("X") !== undefined)
      .map((row) => [row.text("illuminant"), row] as const),
  ])("weights for %s have the published white", (illuminant, row) => {
    const { white } = weightsFor(observerOf(row.text("observer_deg")), illuminant);
    for (const i of [0, 1, 2]) {
      expect(Math.abs(white[i] - row.number("XYZ"[i]))).toBeLessThan(illuminant === "C" ? 0.06 : 0.025);
    }
  });

  test.each([
    // source: ASTM E308 whites, five decimals for the 2° observer, four for the 10° observer.
    // Tolerance: the last digits depend on the range of the sum and on what is taken between 5 nm values: 1e-4.
    // The printed whites of C and of the lamps are those of sums at 5 nm, the ones of daylight and A of sums at 1 nm.
    ["A", "1931-2", 1.0985, 0.35585],
    ["C", "1931-2", 0.98074, 1.18232],
    ["D50", "1931-2", 0.96422, 0.82521],
    ["D65", "1931-2", 0.95047, 1.08883],
    ["F2", "1931-2", 0.99186, 0.67393],
    ["F7", "1931-2", 0.95041, 1.08747],
    ["F11", "1931-2", 1.00962, 0.6435],
    ["D65", "1964-10", 0.9481, 1.073],
    ["D50", "1964-10", 0.9672, 0.8143],
  ] as const)("%s, %s has the white of ASTM E308", (illuminant, observer, X, Z) => {
    const byWeights = weightsFor(observer, illuminant).white;
    const lamp = /^[CF]/.test(illuminant);
    const white = lamp
      ? summationWeights(observerTable(observer), tabulatedIlluminant(illuminant), spectralGrid(380, 780, 5))
          .white
      : byWeights;
    const tolerance = observer === "1931-2" ? 1e-4 : 2e-4;
    expect(Math.abs(white[0] / 100 - X)).toBeLessThan(tolerance);
    expect(Math.abs(white[2] / 100 - Z)).toBeLessThan(tolerance);
    // The weights draw a lamp as straight lines between its 5 nm values, which spreads its lines: below 0.12 % of white.
    expect(Math.abs(byWeights[0] / 100 - X)).toBeLessThan(1.2e-3);
    expect(Math.abs(byWeights[2] / 100 - Z)).toBeLessThan(1.2e-3);
  });

  test("the perfect diffuser is L* 100, a* 0, b* 0 under every light", () => {
    // identity
    const diffuser = new Float64Array(workingGrid.length).fill(1);
    for (const observer of observerNames) {
      for (const illuminant of illuminantNames) {
        const Lab = reflectanceToLab(diffuser, weightsFor(observer, illuminant), new Float64Array(3));
        expect(Lab[0]).toBeCloseTo(100, 9);
        expect(Lab[1]).toBeCloseTo(0, 9);
        expect(Lab[2]).toBeCloseTo(0, 9);
      }
    }
  });
});

describe("weightsFor", () => {
  test("makes weights once and knows both names of a lamp", () => {
    expect(weightsFor("1964-10", "F11")).toBe(weightsFor("1964-10", "FL11"));
    expect(weightsFor("1964-10", "D65").grid).toBe(workingGrid);
    expect(() => weightsFor("1964-10", "D64")).toThrow(/"D64" is unknown/);
  });
});
