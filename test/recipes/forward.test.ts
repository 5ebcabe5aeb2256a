import { describe, expect, test } from "vitest";
import { blendOf } from "../../src/coating/blend.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectanceInto, reflectivityInto } from "../../src/optics/film.ts";
import { seenReflectanceInto } from "../../src/optics/interface.ts";
import { recipeDepths } from "../../src/recipes/depths.ts";
import type { Finish } from "../../src/recipes/finish.ts";
import { ForwardModel } from "../../src/recipes/forward.ts";
import {
  binderIndex,
  coats,
  grounds,
  lights,
  opaque,
  poppySeen,
  rack,
  sheen,
  surface,
} from "./lanternMatch.ts";

const random = seededRandom(11);

function randomShares(n: number): Float64Array {
  const x = Float64Array.from({ length: n }, () => (random() < 0.6 ? 0.1 * random() ** 2 : 0));
  const sum = x.reduce((t, v) => t + v, 0);
  return sum > 0.25 ? x.map((v) => (0.25 * v) / sum) : x;
}

const targets = lights.map(({ weights }) => reflectanceToLab(poppySeen, weights, new Float64Array(3)));

function modelOf(finish: Finish, spectral = 0): ForwardModel {
  return new ForwardModel({
    depths: recipeDepths(rack, binderIndex, finish),
    finish,
    surface,
    sheen,
    lights,
    targets,
    spectral: spectral > 0 ? { seen: poppySeen, weight: spectral } : undefined,
  });
}

describe.each([
  ["coats on three grounds", coats],
  ["opaque", opaque],
] as const)("forward model, %s", (_, finish) => {
  test("agrees with mixing, film and surface taken one after the other", () => {
    const model = modelOf(finish);
    const f = new Float64Array(model.grounds);
    for (let trial = 0; trial < 20; trial++) {
      const x = randomShares(rack.length - 1);
      const binder = 1 - x.reduce((t, v) => t + v, 0);
      const blend = blendOf(rack, [...x, binder]);
      model.value(x, f);
      for (let g = 0; g < model.grounds; g++) {
        const seen = new Float64Array(36);
        if (finish.kind === "coats") {
          const X = finish.wetThickness * blend.mix.volumeSolids;
          filmReflectanceInto(blend.absorption, blend.scattering, X, grounds[g], seen);
        } else reflectivityInto(blend.absorption, blend.scattering, seen);
        seenReflectanceInto(seen, surface.externalReflection, surface.internalReflection, sheen, seen);
        const own = new Float64Array(36);
        model.seenInto(x, g, own);
        // identity: α = W·Σuφ·K is the same film (an opaque one without α at all differs by the guard of 1e-12)
        for (let k = 0; k < 36; k++) expect(own[k]).toBeCloseTo(seen[k], finish.kind === "coats" ? 12 : 6);
        let sum = 0;
        lights.forEach(({ weights, weight }, l) => {
          sum += weight * deltaE2000(targets[l], reflectanceToLab(seen, weights, new Float64Array(3)));
        });
        expect(f[g]).toBeCloseTo(sum, finish.kind === "coats" ? 9 : 4);
      }
    }
  });

  test.each([0, 0.7])("derivatives agree with finite differences, spectral weight %s", (spectral) => {
    const model = modelOf(finish, spectral);
    model.smoothing = 0.05;
    const n = rack.length - 1;
    const m = model.grounds;
    const f = new Float64Array(m);
    const G = new Float64Array(m * n);
    const H = new Float64Array(m * n * n);
    const fUp = new Float64Array(m);
    const fDown = new Float64Array(m);
    const GUp = new Float64Array(m * n);
    const GDown = new Float64Array(m * n);
    const HOther = new Float64Array(m * n * n);
    let worstSlope = 0;
    let worstCurve = 0;
    for (let trial = 0; trial < 12; trial++) {
      const x = randomShares(n).map((v) => v + 0.001);
      model.derivatives(x, f, G, H);
      const plain = new Float64Array(m);
      model.value(x, plain, model.smoothing);
      for (let g = 0; g < m; g++) expect(plain[g]).toBeCloseTo(f[g], 10); // identity: one objective, two routines
      for (let i = 0; i < n; i++) {
        // independent slow method: central differences of two steps, extrapolated (Richardson), error ~ step⁴
        const slopes = new Float64Array(m);
        const curves = new Float64Array(m * n);
        for (const [step, share] of [
          [2e-5, -1 / 3],
          [1e-5, 4 / 3],
        ] as const) {
          const up = x.slice();
          const down = x.slice();
          up[i] += step;
          down[i] -= step;
          model.derivatives(up, fUp, GUp, HOther);
          model.derivatives(down, fDown, GDown, HOther);
          for (let g = 0; g < m; g++) {
            slopes[g] += (share * (fUp[g] - fDown[g])) / (2 * step);
            for (let j = 0; j < n; j++) {
              curves[g * n + j] += (share * (GUp[g * n + j] - GDown[g * n + j])) / (2 * step);
            }
          }
        }
        for (let g = 0; g < m; g++) {
          const row = G.subarray(g * n, (g + 1) * n);
          const size = Math.hypot(...row);
          worstSlope = Math.max(worstSlope, Math.abs(slopes[g] - row[i]) / size);
          const curve = H.subarray(g * n * n, (g + 1) * n * n);
          const bend = Math.hypot(...curve);
          for (let j = 0; j < n; j++) {
            worstCurve = Math.max(worstCurve, Math.abs(curves[g * n + j] - curve[i * n + j]) / bend);
          }
        }
      }
    }
    expect(worstSlope).toBeLessThan(1e-6);
    expect(worstCurve).toBeLessThan(1e-6);
  });
});
