import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { compile } from "../../src/calibration/compiled.ts";
import { problemFromTable } from "../../src/calibration/fromTable.ts";
import { predictFilmInto } from "../../src/calibration/predict.ts";
import type { CalibrationProblem, Thickness } from "../../src/calibration/problem.ts";
import { type CalibrationResult, usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { diffuseTransmittanceExact } from "../../src/optics/modelError.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import indexCsv from "../reference/film_oracle_km_index.csv?raw";
import reflectanceCsv from "../reference/film_oracle_km_reflectance.csv?raw";
import okumura from "../reference/pigment_ks_okumura2005.csv?raw";
import { points, surface } from "./benchDesign.ts";
import { ladderFile } from "./exampleDrawdowns.ts";

// Films that the closed form of the fit had no part in making.

const nm = wavelengths(workingGrid);
const exact = new Float64Array(points);
const options = { ...usualCalibrationOptions, leaveOneOut: false };

/** Predicted readings of a problem's drawdowns under K and S of the paste, thicknesses as stated. */
function predicted(problem: CalibrationProblem, K: Float64Array, S: Float64Array): Float64Array[] {
  const compiled = compile(problem);
  const { n, m } = compiled;
  const local = compiled.localMean.slice();
  for (let i = 0; i < n; i++) {
    local[i * m] = K[i];
    local[i * m + 1] = S[i];
  }
  return problem.drawdowns.map(({ thickness, readings }, f) => {
    if (thickness.kind !== "known") throw new Error("only films of stated thickness are predicted");
    const out = new Float64Array(n * readings.length);
    predictFilmInto(compiled, { local, shared: compiled.sharedMean }, f, { thickness: thickness.value }, out);
    return out;
  });
}

describe("films integrated from the differential equation", () => {
  // source: Kubelka-Munk equations integrated numerically (tolerance 1e-11) with K and S of Okumura 2005
  const index = parseCsvTable(indexCsv, "film_oracle_km_index.csv");
  const curves = parseCsvTable(reflectanceCsv, "film_oracle_km_reflectance.csv");
  const pigments = parseCsvTable(okumura, "pigment_ks_okumura2005.csv");
  const onGrid = (values: Float64Array, table: typeof curves) => {
    const all = numberColumn(table, "wavelength_nm");
    return values.filter((_, i) => all[i] >= 380 && all[i] <= 730);
  };
  const pigment = (name: string) => onGrid(numberColumn(pigments, name), pigments);
  const recipes = [...new Set(index.rows.map((row) => row.text("recipe_parts_of_K_and_S")))];
  const ochre = { K: pigment("Yellow Ochre K"), S: pigment("Yellow Ochre S") };
  const grounds: [string, Float64Array][] = [
    ["black 0.03", new Float64Array(points).fill(0.03)],
    ["white 0.85", new Float64Array(points).fill(0.85)],
    [
      "opaque Yellow Ochre",
      ochre.K.map((K, i) => ochre.S[i] / (K + ochre.S[i] + Math.sqrt(K * (K + 2 * ochre.S[i])))),
    ],
  ];

  const problemOf = (recipe: string, over: readonly number[]): CalibrationProblem => ({
    companions: [],
    grounds: grounds.map(([name, reflectance]) => ({ name, reflectance, mode: "internal", sigma: exact })),
    drawdowns: [0.5, 2].map((X) => ({
      label: `${X}`,
      fractions: Float64Array.of(1),
      thickness: { kind: "known", value: X, relativeSigma: 1e-4 } satisfies Thickness,
      readings: over.map((ground) => {
        const row = index.rows.find(
          (one) =>
            one.text("recipe_parts_of_K_and_S") === recipe &&
            one.text("substrate_internal_reflectance") === grounds[ground][0] &&
            one.number("thickness_X") === X,
        )!;
        return {
          ground,
          specular: "included" as const,
          reflectance: onGrid(numberColumn(curves, `${row.text("film")}_measured`), curves),
          sigma: new Float64Array(points).fill(1e-6),
        };
      }),
    })),
    surface,
    thicknessUnit: "µm",
  });

  test.each(recipes)("%s: K and S of the recipe come back", (recipe) => {
    const parts = recipe.split(" + ").map((part) => /^([\d.]+) (.+)$/.exec(part)!);
    const mixed = (which: "K" | "S") =>
      Float64Array.from({ length: points }, (_, i) =>
        parts.reduce((sum, [, share, name]) => sum + Number(share) * pigment(`${name} ${which}`)[i], 0),
      );
    const { curves: found, search } = calibrate(problemOf(recipe, [0, 1]), options, nm);
    expect(search.status).toBe("converged");
    const [K, S] = [mixed("K"), mixed("S")];
    for (let i = 0; i < points; i++) {
      // Eight printed digits of reflectance; K and S are settled to about 1e-8 ÷ their effect on it.
      expect(Math.abs(found!.absorption[i] - K[i])).toBeLessThan(1e-4 * K[i] + 1e-6);
      expect(Math.abs(found!.scattering[i] - S[i])).toBeLessThan(1e-4 * S[i] + 1e-6);
    }
  });

  test.each(recipes)("%s: what black and white settle predicts the films over ochre", (recipe) => {
    const { curves: found } = calibrate(problemOf(recipe, [0, 1]), options, nm);
    const ochreOnly = problemOf(recipe, [2]);
    predicted(ochreOnly, found!.absorption, found!.scattering).forEach((values, f) => {
      const { reflectance } = ochreOnly.drawdowns[f].readings[0];
      values.forEach((value, i) => expect(Math.abs(value - reflectance[i])).toBeLessThan(1e-5));
    });
  });
});

/** Fits every other film of a ladder and predicts the ones between; RMS error of reflectance. */
function predictBetween(problem: CalibrationProblem): { rms: number; result: CalibrationResult } {
  const even = problem.drawdowns.filter((_, f) => f % 2 === 0);
  const odd = { ...problem, drawdowns: problem.drawdowns.filter((_, f) => f % 2 === 1) };
  const result = calibrate({ ...problem, drawdowns: even }, options, nm);
  let sum = 0;
  let count = 0;
  predicted(odd, result.curves!.absorption, result.curves!.scattering).forEach((values, f) => {
    const { reflectance } = odd.drawdowns[f].readings[0];
    values.forEach((value, i) => {
      sum += (value - reflectance[i]) ** 2;
      count++;
    });
  });
  return { rms: Math.sqrt(sum / count), result };
}

describe("a thickness ladder over one backing", () => {
  test("the example file: films between those fitted are predicted", () => {
    const file = readDrawdownFile(ladderFile(), "drawdowns-ladder.csv");
    const problem = problemFromTable(file, { name: "Rose mix" }, [], { surface, noise: 0.003 });
    expect(problem.drawdowns).toHaveLength(8);
    const { rms, result } = predictBetween(problem);
    console.log(`example ladder (0.3 % noise, 5 % of amount): RMS error ${rms.toFixed(4)}`);
    expect(result.thicknessUnit).toBe("amount");
    expect(rms).toBeLessThan(0.02);
  });

  test("films that do not follow two-flux theory: a purely absorbing coat by exact transfer", () => {
    // source: Chandrasekhar 1950: diffuse transmittance 2E₃(τ), there and back over a ground of 0.8; two-flux theory
    // would give e^(−2τ), up to 38 % less at τ = 1. One band of absorption; 0.2 % noise.
    const random = seededRandom(3);
    const strength = (w: number) => 0.02 + 0.8 * Math.exp(-(((w - 540) / 50) ** 2));
    const films = [0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75, 2].map((amount) => ({
      label: `${amount}`,
      fractions: Float64Array.of(1),
      thickness: { kind: "known", value: amount, relativeSigma: 0.02 } satisfies Thickness,
      readings: [
        {
          ground: 0,
          specular: "included" as const,
          reflectance: nm.map(
            (w) => 0.8 * diffuseTransmittanceExact(strength(w) * amount) ** 2 + 0.002 * normal(random),
          ),
          sigma: new Float64Array(points).fill(0.002),
        },
      ],
    }));
    const problem: CalibrationProblem = {
      companions: [],
      grounds: [
        { name: "backing", reflectance: new Float64Array(points).fill(0.8), mode: "internal", sigma: exact },
      ],
      drawdowns: films,
      surface: { externalReflection: 0, internalReflection: 0 },
      thicknessUnit: "amount",
    };
    const { rms, result } = predictBetween(problem);
    console.log(
      `exact absorbing ladder: RMS error ${rms.toFixed(4)}, noise found ${result.noiseScale.toFixed(1)} times stated`,
    );
    expect(rms).toBeLessThan(0.02);
  });
});
