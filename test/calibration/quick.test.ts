import { describe, expect, test } from "vitest";
import { quickCalibration } from "../../src/calibration/quick.ts";
import type { QuickProblem } from "../../src/calibration/quickProblem.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { film, medianOf, points, simulationOf, usualDrawdowns } from "./benchDesign.ts";
import { labProblemOf } from "./labProblem.ts";
import { seededPaste } from "./seededPastes.ts";
import type { PlannedDrawdown } from "./simulateDrawdowns.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");
const lab = (R: Float64Array) => reflectanceToLab(R, weights, new Float64Array(3));

function labProblem(seed: number, plan: readonly PlannedDrawdown[], labSigma: number): QuickProblem {
  return labProblemOf(
    simulateDrawdowns(simulationOf(seededPaste(seed), plan, seed)),
    weights,
    labSigma,
    seed,
  );
}

/** Panels that the calibration never saw: over white without white in them, and a pale one over black and white. */
const others: PlannedDrawdown[] = [
  { ...film("strong", [0.06, 0, 0.94], 25, "known"), grounds: [1] },
  film("pale", [0.03, 0.1, 0.87], 25, "known"),
];

describe.each([
  ["a sensor's noise", 0.3, 1],
  ["a photograph's noise", 1.5, 2.5],
])("quickCalibration, Lab only, %s (1σ %d)", (name, labSigma, limit) => {
  test("new panels are predicted within the stated error, marked coarse", () => {
    const median: number[] = [];
    let held = 0;
    let inside = 0;
    // Other seeds than those the widening of the bands was found with.
    for (let seed = 21; seed <= 40; seed++) {
      const paste = seededPaste(seed);
      const result = quickCalibration(labProblem(seed, usualDrawdowns("known", [20]), labSigma), weights, nm);
      expect(result.status).toBe("coarse");
      const still = { noise: 0, thicknessError: 0 };
      const truth = simulateDrawdowns(simulationOf(paste, others, seed, still));
      const guess = simulateDrawdowns(simulationOf(result, others, seed, still));
      const errors = truth.drawdowns.flatMap(({ readings }, f) =>
        readings.map(({ reflectance }, q) =>
          deltaE2000(lab(reflectance), lab(guess.drawdowns[f].readings[q].reflectance)),
        ),
      );
      median.push(medianOf(errors));
      if (Math.max(...errors) <= 2 * result.expectedError!) held++;
      for (let i = 0; i < points; i++) {
        const [K, S] = [Math.log(result.absorption[i]), Math.log(result.scattering[i])];
        if (Math.abs(K - Math.log(paste.absorption[i])) < 1.645 * result.absorptionLogSigma[i]) inside++;
        if (Math.abs(S - Math.log(paste.scattering[i])) < 1.645 * result.scatteringLogSigma[i]) inside++;
      }
    }
    const coverage = inside / (40 * points);
    console.log(
      `${name}: new panels missed by ΔE00 ${medianOf(median).toFixed(2)} (median); within twice the stated error ` +
        `${held} of 20; 90 % bands hold K and S in ${(100 * coverage).toFixed(0)} %`,
    );
    expect(medianOf(median)).toBeLessThan(limit);
    expect(held).toBeGreaterThanOrEqual(18);
    expect(coverage).toBeGreaterThan(0.85);
    expect(coverage).toBeLessThan(0.97);
  });
});

describe("quickCalibration", () => {
  test("the words say coarse and tell the error", () => {
    const { findings, expectedError } = quickCalibration(
      labProblem(2, usualDrawdowns("known", [20]), 0.3),
      weights,
      nm,
    );
    const text = findings.find(({ code }) => code === "quality")!.text;
    expect(text).toContain("Coarse");
    expect(text).toContain(expectedError!.toFixed(1));
  });

  test("no thickness and no white: refused, thickness and strength", () => {
    const plan = [0.05, 0.15].map((share) => film(`${share}`, [share, 0, 1 - share], 20, "unknown"));
    const { status, findings } = quickCalibration(labProblem(5, plan, 0.3), weights, nm);
    expect(status).toBe("refused");
    expect(findings[0].code).toBe("thickness-and-strength");
  });

  test("let-downs with the known white make up for unmeasured thicknesses", () => {
    expect(quickCalibration(labProblem(5, usualDrawdowns("unknown", [20]), 0.3), weights, nm).status).toBe(
      "coarse",
    );
  });

  test("one drawdown: no error can be told", () => {
    const result = quickCalibration(
      labProblem(5, usualDrawdowns("known", [20]).slice(0, 1), 0.3),
      weights,
      nm,
    );
    expect(result.expectedError).toBeUndefined();
    expect(result.findings.at(-1)!.text).toContain("no telling");
  });

  test("a paste that is in no drawdown, a Lab that is none", () => {
    const plan = [film("white", [0, 0.2, 0.8], 20, "known")];
    expect(quickCalibration(labProblem(5, plan, 0.3), weights, nm).findings[0].code).toBe("nothing-to-fit");
    const problem = labProblem(5, usualDrawdowns("known", [20]), 0.3);
    const [first, ...rest] = problem.drawdowns;
    const broken = (Lab: number[]) => ({
      ...problem,
      drawdowns: [{ ...first, readings: [{ ...first.readings[0], Lab }] }, ...rest],
    });
    expect(() => quickCalibration(broken([50, 10]), weights, nm)).toThrow(/three numbers/);
    expect(() => quickCalibration(broken([50, 10, Number.NaN]), weights, nm)).toThrow(/b\*/);
  });

  test("Lab that no surface has: an answer without NaN", () => {
    const problem = labProblem(5, usualDrawdowns("known", [20]), 0.3);
    const wild = {
      ...problem,
      drawdowns: problem.drawdowns.map((drawdown, f) => ({
        ...drawdown,
        readings: drawdown.readings.map((reading) => ({ ...reading, Lab: [120 - 40 * f, 150, -160] })),
      })),
    };
    const { absorption, scattering, absorptionLogSigma, findings } = quickCalibration(wild, weights, nm);
    for (const values of [absorption, scattering, absorptionLogSigma]) {
      expect(values.every((value) => Number.isFinite(value) && value >= 0)).toBe(true);
    }
    expect(findings.map(({ code }) => code)).toContain("misfit");
  });
});
