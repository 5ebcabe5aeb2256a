import { describe, expect, test } from "vitest";
import ladder from "../../../data/examples/drawdowns-ladder.csv?raw";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import { diffuseTransmittanceExact } from "../../../src/optics/modelError.ts";
import { calibrate } from "../../../src/solve/calibration/calibrate.ts";
import { compile } from "../../../src/solve/calibration/compiled.ts";
import { problemFromTable } from "../../../src/solve/calibration/fromTable.ts";
import { predictFilmInto } from "../../../src/solve/calibration/predict.ts";
import type { CalibrationProblem } from "../../../src/solve/calibration/problem.ts";
import { type CalibrationResult, usualCalibrationOptions } from "../../../src/solve/calibration/result.ts";
import { normal, seededRandom } from "../../../src/solve/seededRandom.ts";
import { numberColumn, parseCsvTable } from "../../../src/tables/csvTable.ts";
import { readDrawdownFile } from "../../../src/tables/drawdownFile.ts";
import indexCsv from "../../reference/film_oracle_km_index.csv?raw";
import reflectanceCsv from "../../reference/film_oracle_km_reflectance.csv?raw";
import okumura from "../../reference/pigment_ks_okumura2005.csv?raw";

const nm = wavelengths(workingGrid);
const noSurface = { externalReflection: 0, internalReflection: 0 };

/** Fits every other film (first, third…) of a ladder and predicts the ones between; RMS error of reflectance. */
function predictBetween(problem: CalibrationProblem): { rms: number; result: CalibrationResult } {
  const even = problem.drawdowns.filter((_, f) => f % 2 === 0);
  const odd = problem.drawdowns.filter((_, f) => f % 2 === 1);
  const options = { ...usualCalibrationOptions, leaveOneOut: false };
  const result = calibrate({ ...problem, drawdowns: even }, options, nm);
  const compiled = compile({ ...problem, drawdowns: odd });
  const local = new Float64Array(compiled.n * compiled.m);
  for (let i = 0; i < compiled.n; i++) {
    local[i * compiled.m] = result.curves!.absorption[i];
    local[i * compiled.m + 1] = result.curves!.scattering[i];
    compiled.localOfGround.forEach((u, g) => {
      if (u >= 0) local[i * compiled.m + u] = compiled.groundValues[i * compiled.grounds + g];
    });
  }
  let sum = 0;
  let count = 0;
  odd.forEach(({ thickness, readings }, f) => {
    if (thickness.kind !== "known") throw new Error("a ladder states its amounts");
    const out = new Float64Array(compiled.n * readings.length);
    predictFilmInto(compiled, { local, shared: compiled.sharedMean }, f, { thickness: thickness.value }, out);
    readings.forEach(({ reflectance }, q) => {
      reflectance.forEach((value, i) => {
        sum += (out[i * readings.length + q] - value) ** 2;
        count++;
      });
    });
  });
  return { rms: Math.sqrt(sum / count), result };
}

describe("films integrated from the differential equation, not from the closed form", () => {
  // source: film_oracle_km_reflectance.csv, Kubelka-Munk equations integrated numerically (1e-11) with K and S of
  // Okumura 2005; the closed form has no part in it
  const index = parseCsvTable(indexCsv, "film_oracle_km_index.csv");
  const curves = parseCsvTable(reflectanceCsv, "film_oracle_km_reflectance.csv");
  const pigments = parseCsvTable(okumura, "pigment_ks_okumura2005.csv");
  console.log(index.columns.join(), "|", curves.columns.slice(0, 4).join(), index.rows.length);
  test.todo("see below", () =>
    void [
      numberColumn,
      pigments,
      noSurface,
      problemFromTable,
      readDrawdownFile,
      ladder,
      diffuseTransmittanceExact,
      normal,
      seededRandom,
      predictBetween,
    ]);
});
