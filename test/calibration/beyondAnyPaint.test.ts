import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import type { CalibrationProblem } from "../../src/calibration/problem.ts";
import { quickCalibration } from "../../src/calibration/quick.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { mostCoefficient } from "../../src/optics/coefficientBound.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cases } from "../howMuch.ts";
import { simulationOf, usualDrawdowns } from "./benchDesign.ts";
import { labProblemOf } from "./labProblem.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

// identity throughout: good drawdowns are spoilt on purpose, and whatever comes out of them keeps the bound or is refused.

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");
const quickly = { ...usualCalibrationOptions, leaveOneOut: false };

interface Spoiling {
  readonly paste: number;
  readonly k1: number;
  readonly k2: number;
  /** factor of the readings of films and of the bare cards, and of the thickness */
  readonly films: number;
  readonly cards: number;
  readonly thickness: number;
  /** paste and a companion change columns: 0 none, 1 white, 2 binder */
  readonly exchanged: number;
}

const spoiling: fc.Arbitrary<Spoiling> = fc.record({
  paste: fc.integer({ min: 1, max: 40 }),
  k1: fc.oneof(
    fc.constantFrom(0.04, 0.04, 0.05, 0.08, 0.1, 0.15, 0.2),
    fc.double({ min: 0.08, max: 0.2, noNaN: true }),
  ),
  k2: fc.double({ min: 0.3, max: 0.9, noNaN: true }),
  films: fc.constantFrom(1, 1, 0.1, 0.01, 10),
  cards: fc.constantFrom(1, 1, 0.1, 10),
  thickness: fc.constantFrom(1, 1, 0.001, 0.01, 1000),
  exchanged: fc.constantFrom(0, 0, 1, 2),
});

function spoilt({ paste, k1, k2, films, cards, thickness, exchanged }: Spoiling): CalibrationProblem {
  const good = simulateDrawdowns(simulationOf(seededPaste(paste), usualDrawdowns("known", [20]), paste));
  return {
    ...good,
    surface: { externalReflection: k1, internalReflection: k2 },
    grounds: good.grounds.map((ground) => ({
      ...ground,
      reflectance: ground.reflectance.map((value) => cards * value),
    })),
    drawdowns: good.drawdowns.map((drawdown) => {
      const fractions = Float64Array.from(drawdown.fractions);
      [fractions[0], fractions[exchanged]] = [fractions[exchanged], fractions[0]];
      return {
        ...drawdown,
        fractions,
        thickness:
          drawdown.thickness.kind === "known"
            ? { ...drawdown.thickness, value: thickness * drawdown.thickness.value }
            : drawdown.thickness,
        readings: drawdown.readings.map((reading) => ({
          ...reading,
          reflectance: reading.reflectance.map((value) => films * value),
        })),
      };
    }),
  };
}

/** What a result may never be: usable with coefficients that no paint has. */
function faultOf(status: string, curves?: { absorption: Float64Array; scattering: Float64Array }): string {
  if (status === "refused" || curves === undefined) return "";
  const [K, S] = [Math.max(...curves.absorption), Math.max(...curves.scattering)];
  // A comparison turned round, so that NaN is a fault too.
  return K <= mostCoefficient.K && S <= mostCoefficient.S ? "" : `${status} with K ${K}, S ${S}`;
}

describe("no coefficient beyond any paint is called usable", () => {
  test("surface constants, scales, thicknesses and columns gone wrong", () => {
    const seen = new Map<string, number>();
    fc.assert(
      fc.property(spoiling, (how) => {
        const { status, curves } = calibrate(spoilt(how), quickly, nm, weights);
        seen.set(status, (seen.get(status) ?? 0) + 1);
        expect(faultOf(status, curves)).toBe("");
      }),
      { numRuns: cases(1000, 10), seed: 77 },
    );
    console.log(`spoilt calibrations: ${[...seen].map(([name, count]) => `${name} ${count}`).join(", ")}`);
    // Both ways are walked: what is spoilt a little is used, what is spoilt much is refused.
    expect(seen.get("refused") ?? 0).toBeGreaterThan(0);
    expect(seen.size).toBeGreaterThan(1);
  }, 300_000);

  test("the same from colours alone", () => {
    const seen = new Map<string, number>();
    fc.assert(
      fc.property(spoiling, (how) => {
        const { status, ...curves } = quickCalibration(labProblemOf(spoilt(how), weights), weights, nm);
        seen.set(status, (seen.get(status) ?? 0) + 1);
        expect(faultOf(status, curves)).toBe("");
      }),
      { numRuns: cases(200, 10), seed: 78 },
    );
    console.log(`from colours alone: ${[...seen].map(([name, count]) => `${name} ${count}`).join(", ")}`);
    expect(seen.size).toBeGreaterThan(1);
  }, 300_000);

  test.each([0.08, 0.1, 0.15, 0.2])("k1 of %d on readings made with 0.04", (k1) => {
    const how = { paste: 3, k1, k2: 0.6, films: 1, cards: 1, thickness: 1, exchanged: 0 };
    const { status, curves, findings } = calibrate(spoilt(how), quickly, nm, weights);
    expect(faultOf(status, curves)).toBe("");
    // Readings of the dark card lie below what such a surface alone sends back: that is said in every case.
    expect(findings.map(({ code }) => code)).toContain("below-surface-reflection");
  });

  test("the columns of two components exchanged in a table: refused, or said to fit badly", () => {
    const good = simulateDrawdowns(simulationOf(seededPaste(3), usualDrawdowns("known", [20]), 3));
    const { status, findings } = calibrate(
      spoilt({ paste: 3, k1: 0.04, k2: 0.6, films: 1, cards: 1, thickness: 1, exchanged: 1 }),
      quickly,
      nm,
      weights,
    );
    expect(calibrate(good, quickly, nm, weights).status).toBe("accepted");
    expect(status).not.toBe("accepted");
    expect(findings.some(({ severity }) => severity !== "note")).toBe(true);
  });
});
