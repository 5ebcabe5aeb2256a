import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import { recipeDepths } from "../../src/recipes/depths.ts";
import { ForwardModel, type ForwardSetting } from "../../src/recipes/forward.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cream, eye, grey, job, parts, white } from "../ground/lanternJob.ts";

const { components, volumes } = job.recipe;
const binder = components.findIndex(({ role }) => role === "binder");

const setting = (wetBase: number, wetColour: number): ForwardSetting => ({
  basecoat: recipeDepths([grey, cream, white], 0, wetBase),
  depths: recipeDepths(components, binder, wetColour),
  finish: { kind: "coats", wetThickness: wetColour, grounds: parts },
  surface: eye.surface,
  sheen: 0.3,
  lights: ["D65", "A", "FL11"].map((name, l) => ({
    weights: weightsFor("1964-10", name),
    weight: 1 - 0.3 * l,
  })),
  targets: [0, 1, 2].map((l) => [45 + l, 55 - 2 * l, 33 + l]),
  lightsApart: true,
});

/** Shares of two base paints and of the pastes, within reason. */
function somewhere(random: () => number, size: number): Float64Array {
  return Float64Array.from({ length: size }, (_, i) => (i < 2 ? 0.45 : 0.1) * random());
}

describe("forward model, colour on a basecoat", () => {
  test("differences are those of the chain", () => {
    // identity: the same job by the chain's fractions; 1e-9: rounding
    const two: ForwardSetting = {
      ...setting(50, 90),
      basecoat: recipeDepths([grey, cream], 0, job.basecoatWet),
      sheen: eye.sheen,
      lights: [{ weights: eye.weights, weight: 1 }],
      targets: [job.target],
    };
    const model = new ForwardModel(two);
    const total = Array.from(volumes).reduce((sum, v) => sum + v, 0);
    const x = Float64Array.from([
      0.37,
      ...Array.from(volumes, (v) => v / total).filter((_, j) => j !== binder),
    ]);
    const out = new Float64Array(parts.length);
    model.differencesInto(x, out);
    const chain = new GroundChain(job);
    const worst = chain.at(plannedPoint(job, 0.37));
    out.forEach((d, p) => {
      expect(Math.abs(d - chain.differences[p])).toBeLessThan(1e-9);
    });
    expect(Math.abs(model.value(x) - worst)).toBeLessThan(1e-9);
  });

  test("lights together are the sum of lights apart", () => {
    const apart = new ForwardModel(setting(50, 90));
    const together = new ForwardModel({ ...setting(50, 90), lightsApart: false });
    const n = apart.size;
    const x = somewhere(seededRandom(5), n);
    const of = (model: ForwardModel) => {
      model.smoothing = 0.1;
      const f = new Float64Array(model.objectives);
      const gradient = new Float64Array(model.objectives * n);
      const hessian = new Float64Array(model.objectives * n * n);
      model.derivatives(x, f, gradient, hessian);
      return { f, gradient, hessian };
    };
    const [p, q] = [of(apart), of(together)];
    const summed = (values: Float64Array, size: number, g: number) =>
      Float64Array.from({ length: size }, (_, i) =>
        [0, 1, 2].reduce((sum, l) => sum + values[(3 * g + l) * size + i], 0),
      );
    // identity; 1e-9 of the greatest entry: rounding
    for (let g = 0; g < parts.length; g++) {
      for (const [key, size] of [
        ["f", 1],
        ["gradient", n],
        ["hessian", n * n],
      ] as const) {
        const all = q[key].subarray(g * size, (g + 1) * size);
        const scale = Math.max(1, ...all.map(Math.abs));
        summed(p[key], size, g).forEach((v, i) => {
          expect(Math.abs(v - all[i]) / scale).toBeLessThan(1e-9);
        });
      }
    }
  });

  test.each([
    ["usual films", 50, 90, 0.3],
    ["thin films", 6, 12, 0.3],
    ["no basecoat", 0, 60, 0.3],
    ["little smoothing", 50, 90, 0.01],
  ] as const)("gradient and Hessian are those of finite differences: %s", (_, wetBase, wetColour, eps) => {
    // independent method: central differences of values and gradients; 2e-6 of the greatest entry: their own
    // error
    const model = new ForwardModel(setting(wetBase, wetColour));
    const random = seededRandom(11);
    model.smoothing = eps;
    const m = model.objectives;
    const n = model.size;
    const make = () => ({
      f: new Float64Array(m),
      g: new Float64Array(m * n),
      H: new Float64Array(m * n * n),
    });
    for (let trial = 0; trial < 4; trial++) {
      const x = somewhere(random, n);
      const at = make();
      model.derivatives(x, at.f, at.g, at.H);
      for (let o = 0; o < m; o++) {
        const gradients = at.g.subarray(o * n, (o + 1) * n);
        const bends = at.H.subarray(o * n * n, (o + 1) * n * n);
        const slopeScale = Math.max(1, ...gradients.map(Math.abs));
        const bendScale = Math.max(1, ...bends.map(Math.abs));
        for (let i = 0; i < n; i++) {
          const h = 1e-5;
          const up = make();
          const down = make();
          const moved = x.slice();
          moved[i] = x[i] + h;
          model.derivatives(moved, up.f, up.g, up.H);
          moved[i] = x[i] - h;
          model.derivatives(moved, down.f, down.g, down.H);
          const slope = (up.f[o] - down.f[o]) / (2 * h);
          expect(Math.abs(slope - gradients[i]) / slopeScale).toBeLessThan(2e-6);
          for (let j = 0; j < n; j++) {
            const bend = (up.g[o * n + j] - down.g[o * n + j]) / (2 * h);
            expect(Math.abs(bend - bends[i * n + j]) / bendScale).toBeLessThan(2e-6);
          }
        }
      }
    }
  });

  test("the greatest objective counts each light's weight", () => {
    const base = setting(50, 90);
    const model = new ForwardModel(base);
    const x = somewhere(seededRandom(3), model.size);
    const out = new Float64Array(model.objectives);
    model.differencesInto(x, out);
    const scaled = out.map((d, o) => d * base.lights[o % 3].weight);
    expect(model.value(x)).toBeCloseTo(Math.max(...scaled), 12); // identity
  });
});
