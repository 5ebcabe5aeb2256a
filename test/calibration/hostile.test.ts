import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { companionOf } from "../../src/calibration/compose.ts";
import type { CalibrationProblem, Drawdown, Reading, Thickness } from "../../src/calibration/problem.ts";
import type { CalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectance } from "../../src/optics/film.ts";
import { toMeasured } from "../../src/optics/interface.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cases } from "../howMuch.ts";
import { binder, points, simulationOf, surface, usualDrawdowns, white } from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");

/** A curve of some kind from a few random numbers. */
function curveOf(kind: number, level: number, seed: number): Float64Array {
  const random = seededRandom(seed);
  const K = 10 ** (4 * level - 3);
  const S = 10 ** (3 * random() - 3);
  return Float64Array.from({ length: points }, (_, i) => {
    switch (kind) {
      case 0:
        return level; // flat
      case 1:
        return random(); // noise
      case 2:
        return toMeasured(filmReflectance(K, S, 20, i % 2 === 0 ? 0.01 : 0.8), 0.04, 0.6, "included"); // a film over stripes
      case 3:
        return 0.5 + 0.5 * Math.sin(i * level); // waves
      case 4:
        return i < 18 ? 0.02 : 0.02 + level; // a step
      case 5:
        return -0.04 + 1.3 * level; // at the edge of what is allowed
      default:
        return toMeasured(filmReflectance(K, S, 20, 0.8), 0.04, 0.6, "included"); // a film
    }
  });
}

const curve = fc
  .tuple(fc.nat(6), fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(5))
  .map(([k, l, s]) => curveOf(k, l, s));

const thickness: fc.Arbitrary<Thickness> = fc.oneof(
  fc.record({
    kind: fc.constant("known" as const),
    value: fc.oneof(fc.double({ min: 0.01, max: 5000, noNaN: true }), fc.constantFrom(0, -3, Number.NaN, 12)),
    relativeSigma: fc.double({ min: 1e-4, max: 1, noNaN: true }),
  }),
  fc.constant({ kind: "unknown" as const }),
  fc.constant({ kind: "opaque" as const }),
);

const reading: fc.Arbitrary<Reading> = fc
  .tuple(fc.nat(1), fc.boolean(), curve, fc.constantFrom(1e-5, 0.002, 0.05, Number.POSITIVE_INFINITY))
  .map(([ground, included, reflectance, sigma]) => ({
    ground,
    specular: included ? "included" : "excluded",
    reflectance,
    sigma: new Float64Array(points).fill(sigma),
  }));

const fractions = fc
  .tuple(fc.nat(3), fc.nat(3), fc.nat(3))
  .map(([a, b, c]) => (a + b + c === 0 ? [1, 0, 0] : [a, b, c].map((one) => one / (a + b + c))))
  .map((shares) => Float64Array.from(shares));

const drawdown: fc.Arbitrary<Drawdown> = fc.record({
  label: fc.constantFrom("a", "b", "c"),
  fractions,
  thickness,
  readings: fc.array(reading, { maxLength: 3 }),
});

const problem: fc.Arbitrary<CalibrationProblem> = fc.record({
  companions: fc.constantFrom(
    [companionOf(white), companionOf(binder)],
    [companionOf(white), { ...companionOf(binder), absorptionSigma: new Float64Array(points).fill(1e-4) }],
  ),
  grounds: fc.tuple(curve, curve, fc.constantFrom(0, 0.002)).map(([dark, light, sigma]) => [
    {
      name: "black",
      reflectance: dark,
      mode: "included" as const,
      sigma: new Float64Array(points).fill(sigma),
    },
    {
      name: "white",
      reflectance: light,
      mode: "included" as const,
      sigma: new Float64Array(points).fill(sigma),
    },
  ]),
  drawdowns: fc.array(drawdown, { maxLength: 5 }),
  surface: fc.constantFrom(surface, { externalReflection: 0, internalReflection: 0 }),
  thicknessUnit: fc.constantFrom("µm" as const, "amount" as const),
});

const options: fc.Arbitrary<CalibrationOptions> = fc.record({
  loss: fc.constantFrom("huber" as const, "squares" as const),
  noise: fc.constantFrom("estimated" as const, "stated" as const),
  smoothness: fc.constantFrom("none" as const, 10),
  k2Sigma: fc.constantFrom(undefined, 0.05),
  outliers: fc.constantFrom("set aside" as const, "keep" as const),
  leaveOneOut: fc.constantFrom(true, false, false, false),
});

/** Places in a result that hold no finite number; a thickness or a σ may be infinite (opaque film, no reading). */
function faultsOf(value: unknown, path = "result"): string[] {
  const open = /thickness$|sigma/i.test(path);
  const good = (one: number) => Number.isFinite(one) || (open && one === Number.POSITIVE_INFINITY);
  if (typeof value === "number") return good(value) ? [] : [`${path} is ${value}`];
  if (value instanceof Float64Array)
    return value.every(good) ? [] : [`${path} holds ${value.find((one) => !good(one))}`];
  if (value === null || typeof value !== "object") return [];
  return Object.entries(value).flatMap(([key, part]) =>
    key === "fit" ? [] : faultsOf(part, `${path}.${key}`),
  );
}

/** Real films, then a few random readings, thicknesses or mixes put in their place. */
const spoilt: fc.Arbitrary<CalibrationProblem> = fc
  .tuple(
    fc.nat(39),
    fc.constantFrom("known" as const, "unknown" as const),
    fc.integer({ min: 1, max: 4 }),
    fc.array(fc.tuple(fc.nat(3), fc.nat(3), drawdown), { maxLength: 2 }),
  )
  .map(([seed, told, films, changes]) => {
    const plan = usualDrawdowns(told, [20]).slice(0, films);
    const real = simulateDrawdowns(simulationOf(seededPaste(seed + 1), plan, seed));
    const drawdowns = [...real.drawdowns];
    for (const [f, what, by] of changes) {
      const old = drawdowns[f];
      if (old === undefined) continue;
      if (what === 0) drawdowns[f] = { ...old, readings: by.readings };
      else if (what === 1) drawdowns[f] = { ...old, thickness: by.thickness };
      else if (what === 2) drawdowns[f] = { ...old, fractions: by.fractions };
      else drawdowns.splice(f, 1);
    }
    return { ...real, drawdowns };
  });

const tablesOfAKind = cases(2500, 12);

describe(`${2 * tablesOfAKind} random tables`, () => {
  test.each([
    ["nothing but noise", problem, 0.0012],
    ["real films, spoilt", spoilt, 0.2],
  ])(
    "%s: a verdict each time, no NaN, no fault",
    (name, tables, leastShareAccepted) => {
      const seen = new Map<string, number>();
      fc.assert(
        fc.property(tables, options, (input, choice) => {
          const result = calibrate(input, choice, nm, weights);
          seen.set(result.status, (seen.get(result.status) ?? 0) + 1);
          const faults = faultsOf(result);
          if (faults.length > 0) throw new Error(faults.join("; "));
          expect(result.status === "refused").toBe(
            result.findings.some(({ severity }) => severity === "refused"),
          );
          for (const { text } of result.findings) expect(text).not.toMatch(/NaN|undefined|Infinity/);
          if (result.status !== "refused") {
            expect(result.curves!.absorption.every((K) => K >= 0)).toBe(true);
            expect(result.curves!.scattering.every((S) => S >= 0)).toBe(true);
          }
        }),
        { numRuns: tablesOfAKind, seed: 20251 },
      );
      console.log(`${name}: ${[...seen].map(([status, count]) => `${status} ${count}`).join(", ")}`);
      const refused = seen.get("refused") ?? 0;
      expect(refused / tablesOfAKind).toBeGreaterThan(0.12);
      expect(1 - refused / tablesOfAKind).toBeGreaterThanOrEqual(leastShareAccepted);
    },
    180_000,
  );
});
