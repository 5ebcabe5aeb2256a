import { describe, expect, test } from "vitest";
import { normalBandFactor } from "../../src/calibration/bands.ts";
import { bandsFromReplicates, bootstrapChunk } from "../../src/calibration/bootstrap.ts";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { points, simulationOf, usualDrawdowns } from "./benchDesign.ts";
import { drawCoefficients } from "./drawCoefficients.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const options = { ...usualCalibrationOptions, leaveOneOut: false };
const resultOf = (seed: number) =>
  calibrate(simulateDrawdowns(simulationOf(seededPaste(seed), usualDrawdowns("known"), seed)), options, nm);

describe("bootstrapChunk", () => {
  test("any split into chunks gives the same replicates", () => {
    const fit = resultOf(3).fit!;
    const whole = bootstrapChunk({ fit, seed: 7, first: 0, count: 6 });
    const pieces = [
      [0, 1],
      [1, 3],
      [4, 2],
    ].map(([first, count]) => bootstrapChunk({ fit, seed: 7, first, count }));
    expect(pieces.flatMap(({ absorption }) => [...absorption])).toEqual([...whole.absorption]);
    expect(pieces.flatMap(({ scattering }) => [...scattering])).toEqual([...whole.scattering]);
    expect([...bootstrapChunk({ fit, seed: 8, first: 0, count: 1 }).absorption]).not.toEqual([
      ...whole.absorption.slice(0, points),
    ]);
  });

  test("task and answer survive structured cloning, as sent to a worker", () => {
    const task = { fit: resultOf(3).fit!, seed: 7, first: 0, count: 2 };
    expect(bootstrapChunk(structuredClone(task))).toEqual(bootstrapChunk(task));
  });

  test("90 % bands of 200 refits hold 85 to 95 % of the true values", () => {
    // identity: data made by the model; 12 pastes, even seeds from the measured set, odd ones from the demo's model
    let inside = 0;
    let count = 0;
    for (let seed = 1; seed <= 12; seed++) {
      const paste = seededPaste(seed);
      const bands = bandsFromReplicates(
        [bootstrapChunk({ fit: resultOf(seed).fit!, seed, first: 0, count: 200 })],
        0.9,
      );
      for (let i = 0; i < points; i++) {
        count += 2;
        const { absorption, scattering } = bands;
        if (paste.absorption[i] >= absorption.low[i] && paste.absorption[i] <= absorption.high[i]) inside++;
        if (paste.scattering[i] >= scattering.low[i] && paste.scattering[i] <= scattering.high[i]) inside++;
      }
    }
    console.log(`200 refits, 12 pastes: 90 % bands hold ${((100 * inside) / count).toFixed(1)} %`);
    expect(inside / count).toBeGreaterThan(0.85);
    expect(inside / count).toBeLessThan(0.95);
  });

  test("too few replicates for the level are refused", () => {
    const chunk = bootstrapChunk({ fit: resultOf(3).fit!, seed: 1, first: 0, count: 3 });
    expect(() => bandsFromReplicates([chunk], 0.9)).toThrow(/at least 20/);
  });
});

test.each([
  // source: normal distribution tables, five digits
  [0.5, 0.67449],
  [0.9, 1.64485],
  [0.95, 1.95996],
  [0.99, 2.57583],
])("normalBandFactor(%d) = %d", (level, z) =>
  expect(Math.abs(normalBandFactor(level) - z)).toBeLessThan(4.5e-4),
); // error bound stated with the formula

test("draws of K and S have the stated spread and hang together", () => {
  const { curves } = resultOf(6);
  const count = 4000;
  const draws = drawCoefficients(curves!, count, 5);
  const i = 18;
  const column = (values: Float64Array) => Array.from({ length: count }, (_, k) => values[k * points + i]);
  const moments = (values: number[]) => {
    const mean = values.reduce((sum, value) => sum + value, 0) / count;
    return { mean, sd: Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / count) };
  };
  const [K, S] = [column(draws.absorption), column(draws.scattering)];
  const [mK, mS] = [moments(K), moments(S)];
  // 4000 draws: standard error of a standard deviation about 1.1 %; five of them allowed.
  expect(mK.sd / curves!.absorptionSigma[i]).toBeCloseTo(1, 1);
  expect(mS.sd / curves!.scatteringSigma[i]).toBeCloseTo(1, 1);
  const together =
    K.reduce((sum, value, k) => sum + (value - mK.mean) * (S[k] - mS.mean), 0) / count / mK.sd / mS.sd;
  expect(Math.abs(together - curves!.correlation[i])).toBeLessThan(0.08);
});
