import { describe, expect, test } from "vitest";
import { blendOf } from "../../src/coating/blend.ts";
import type { Component } from "../../src/coating/component.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { quantiles } from "../../src/fit/quantiles.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { toMeasuredInto } from "../../src/optics/interface.ts";
import { doubtfulComponents } from "../../src/recipes/coefficientDoubt.ts";
import { type CalibratedShelf, calibrateShelf, usualShelfOptions } from "../../src/shelf/calibrateShelf.ts";
import { handedOn } from "../../src/shelf/handedOn.ts";
import { jointFrom, jointToSave } from "../../src/tables/savedJoint.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { thorough } from "../howMuch.ts";
import { type SimulatedShelf, simulateShelf } from "./simulateShelf.ts";

// identity: the truth of an invented shelf is known, and draws that are handed on are draws of the posterior.

const weights = weightsFor("1964-10", "D65");
const points = 36;

function handed({ shelf }: SimulatedShelf, result: CalibratedShelf): Component[] {
  const places = shelf.components.map((_, component) => ({ component, bottle: -1, strength: 1 }));
  const joint = handedOn(result, points, places, "these films").map((one) => jointFrom(jointToSave(one)));
  return shelf.components.map(({ name }, c): Component => {
    const of = (values: Float64Array) => values.slice(c * points, (c + 1) * points);
    const spread = (values: Float64Array, mean: Float64Array) =>
      mean.map((middle, i) => {
        let squares = 0;
        for (let d = 0; d < result.draws.count; d++) {
          squares += (values[d * result.absorption.length + c * points + i] - middle) ** 2;
        }
        return Math.sqrt(squares / result.draws.count);
      });
    const absorption = of(result.absorption);
    const scattering = of(result.scattering);
    return {
      id: `c${c}`,
      name,
      role: "paste",
      density: 1,
      volumeSolids: 1,
      absorption,
      scattering,
      absorptionSigma: spread(result.draws.absorption, absorption),
      scatteringSigma: spread(result.draws.scattering, scattering),
      joint: joint[c],
      provenance: { kind: "calibrated" },
    };
  });
}

const withoutJoint = ({ joint: _, ...rest }: Component): Component => rest;

describe("draws that are handed on with the pastes", () => {
  const simulated = simulateShelf({ pastes: 4, films: 24, predicted: 0, seed: 5 });
  const result = calibrateShelf(simulated.shelf, usualShelfOptions);
  const pastes = handed(simulated, result);
  /** Every sixth wavelength of K and S of every paste, draw by draw. */
  const looked = (K: ArrayLike<number>[], S: ArrayLike<number>[]) =>
    [...K, ...S].flatMap((curve) => Array.from({ length: 6 }, (_, i) => Math.log(curve[6 * i + 3])));
  const rowsOf = (drawn: Component[][]) =>
    drawn.map((all) =>
      looked(
        all.map(({ absorption }) => absorption),
        all.map(({ scattering }) => scattering),
      ),
    );
  const { draws } = result;
  const whole = Array.from({ length: draws.count }, (_, d) => {
    const of = (values: Float64Array) =>
      pastes.map((_, c) => values.subarray((4 * d + c) * points, (4 * d + c + 1) * points));
    return looked(of(draws.absorption), of(draws.scattering));
  });

  test("vary together as the posterior does, pastes with each other too", () => {
    const few = rowsOf(doubtfulComponents(pastes, 64, 1));
    const [all, own] = [covarianceOf(whole), covarianceOf(few)];
    // 64 of 256 draws: the sampling error of a covariance (Anderson 1984, chapter 3: (σii σjj + σij²)/n)
    const error = (i: number, j: number) =>
      Math.sqrt((all[i][i] * all[j][j] + all[i][j] ** 2) * (1 / 64 - 1 / 256));
    const off = all.flatMap((row, i) =>
      row.slice(0, i + 1).map((value, j) => (own[i][j] - value) / error(i, j)),
    );
    const rms = Math.sqrt(off.reduce((sum, one) => sum + one * one, 0) / off.length);
    // Heavy tails and draws that follow each other make it a little more than 1.
    expect(rms).toBeLessThan(1.4);
    // Pastes that were poured together are tied: as each by itself they would not be within this error.
    const alone = rowsOf(
      doubtfulComponents(
        pastes.map((one, c) => ({ ...one, joint: { ...one.joint!, posterior: `${c}` } })),
        64,
        1,
      ),
    );
    const ties = (of: number[][]) =>
      all.flatMap((row, i) =>
        row.flatMap((value, j) => {
          const size = Math.sqrt(all[i][i] * all[j][j]);
          return paste(i) !== paste(j) && Math.abs(value) > 0.4 * size ? [of[i][j] / value] : [];
        }),
      );
    const middle = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1];
    expect(ties(all).length).toBeGreaterThan(20);
    expect(middle(ties(own))).toBeGreaterThan(0.8);
    expect(middle(ties(covarianceOf(alone)))).toBeLessThan(0.3);
  });

  test("what is kept takes at most 14,000 signs a paste, and is off by half a hundredth at most", () => {
    const [one] = handedOn(result, points, [{ component: 2, bottle: -1, strength: 1 }], "x");
    const saved = jointToSave(one);
    expect(JSON.stringify(saved, null, 1).length).toBeLessThan(14_000);
    jointFrom(saved).logs.forEach((draw, d) => {
      draw.forEach((log, i) => expect(Math.abs(log - one.logs[d][i])).toBeLessThanOrEqual(0.005 + 1e-12));
    });
  });
});

const paste = (i: number) => Math.floor((i % 24) / 6);

function covarianceOf(rows: number[][]): number[][] {
  const n = rows[0].length;
  const mean = Array.from({ length: n }, (_, i) => rows.reduce((sum, row) => sum + row[i], 0) / rows.length);
  return mean.map((a, i) =>
    mean.map((b, j) => rows.reduce((sum, row) => sum + (row[i] - a) * (row[j] - b), 0) / rows.length),
  );
}

test.skipIf(!thorough)(
  "bands of predicted mixtures from draws handed on hold in 85 to 95 of a hundred",
  () => {
    let inside = 0;
    let alone = 0;
    let count = 0;
    for (const seed of [1, 2, 3, 4, 5, 6]) {
      const simulated = simulateShelf({ pastes: 8, films: 40, predicted: 70, seed });
      const { shelf, K, S, held } = simulated;
      const result = calibrateShelf(shelf, { ...usualShelfOptions, keep: 32 });
      const pastes = handed(simulated, result);
      const truth = pastes.map((one, c) => ({ ...one, absorption: K[c], scattering: S[c] }));
      const sets = [doubtfulComponents(pastes, 64, 1), doubtfulComponents(pastes.map(withoutJoint), 64, 1)];
      for (const { reading } of held) {
        const { films, ground } = shelf.readings[reading];
        const { parts } = shelf.films[films[0]];
        const volumes = new Float64Array(pastes.length);
        for (const { component, amount } of parts) volumes[component] = amount;
        const thickness = parts.reduce((sum, { amount }) => sum + amount, 0);
        const colourOf = (components: readonly Component[]) => {
          const { absorption, scattering } = blendOf(components, volumes);
          const R = new Float64Array(points);
          filmReflectanceInto(absorption, scattering, thickness, shelf.grounds[ground], R);
          toMeasuredInto(
            R,
            shelf.surface.externalReflection,
            shelf.surface.internalReflection,
            "included",
            R,
          );
          return { R, Lab: reflectanceToLab(R, weights, new Float64Array(3)) };
        };
        const real = colourOf(truth).Lab;
        const holds = sets.map((drawn) => {
          const films = drawn.map(colourOf);
          const middle = new Float64Array(3);
          for (const { Lab } of films) for (let i = 0; i < 3; i++) middle[i] += Lab[i] / films.length;
          const distances = Float64Array.from(films, ({ Lab }) => deltaE2000(middle, Lab)).sort();
          return deltaE2000(middle, real) <= quantiles(distances, [0.9])[0];
        });
        if (holds[0]) inside++;
        if (holds[1]) alone++;
        count++;
      }
    }
    expect(count).toBe(420);
    expect(inside / count).toBeGreaterThanOrEqual(0.85);
    expect(inside / count).toBeLessThanOrEqual(0.95);
    // Each paste by itself and moved as a whole, bands are wider than what is known.
    expect(alone).toBeGreaterThan(inside);
  },
);
