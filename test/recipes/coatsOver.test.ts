import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { recipeDepths } from "../../src/recipes/depths.ts";
import { coatsOver, type Finish, overGround } from "../../src/recipes/finish.ts";
import { ForwardModel, type ForwardSetting } from "../../src/recipes/forward.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cream, eye, grey, job, parts, white } from "../ground/lanternJob.ts";

const { components } = job.recipe;
const binder = components.findIndex(({ role }) => role === "binder");
const wet = 60;
/** Two heavy coats more on the black part, one on the last. */
const more = [0, 60, 30];

const setting = (finish: Finish, wetBase?: number, wetColour = wet): ForwardSetting => ({
  ...(wetBase === undefined ? {} : { basecoat: recipeDepths([grey, cream, white], 0, wetBase) }),
  depths: recipeDepths(components, binder, wetColour),
  finish,
  surface: eye.surface,
  sheen: 0.3,
  lights: ["D65", "A"].map((name, l) => ({ weights: weightsFor("1964-10", name), weight: 1 - 0.3 * l })),
  targets: [0, 1].map((l) => [45 + l, 55 - 2 * l, 33 + l]),
  lightsApart: true,
});

const somewhere = (random: () => number, size: number, base: number) =>
  Float64Array.from({ length: size }, (_, i) => (i < base ? 0.45 : 0.1) * random());

const answers = (model: ForwardModel, x: Float64Array) => {
  const { size: n, objectives: m } = model;
  const out = { f: new Float64Array(m), g: new Float64Array(m * n), H: new Float64Array(m * n * n) };
  model.derivatives(x, out.f, out.g, out.H);
  return out;
};

describe("coats that differ from ground to ground", () => {
  test("no more anywhere is the common film, to the last digit", () => {
    expect(coatsOver(wet, parts, [0, 0, 0])).toEqual({ kind: "coats", wetThickness: wet, grounds: parts }); // identity
    const common = new ForwardModel(setting(coatsOver(wet, parts), 50));
    const ones = new ForwardModel(
      setting({ kind: "coats", wetThickness: wet, grounds: parts, builds: [1, 1, 1] }, 50),
    );
    common.smoothing = ones.smoothing = 0.1;
    const x = somewhere(seededRandom(2), common.size, 2);
    expect(answers(ones, x)).toEqual(answers(common, x)); // identity: times one
  });

  test.each([
    ["straight on the part", undefined],
    ["on a basecoat", 50],
  ])("each ground is as if it were painted alone with its own coats, %s", (_, wetBase) => {
    const finish = coatsOver(wet, parts, more);
    const model = new ForwardModel(setting(finish, wetBase));
    model.smoothing = 0.1;
    const x = somewhere(seededRandom(3), model.size, wetBase ? 2 : 0);
    const all = answers(model, x);
    const n = model.size;
    parts.forEach((part, p) => {
      const alone = new ForwardModel(setting(coatsOver(wet + more[p], [part]), wetBase, wet + more[p]));
      alone.smoothing = 0.1;
      const own = answers(alone, x);
      // identity; 1e-11 of the greatest entry: rounding
      for (const [key, size] of [
        ["f", 2],
        ["g", 2 * n],
        ["H", 2 * n * n],
      ] as const) {
        const scale = Math.max(1, ...own[key].map(Math.abs));
        own[key].forEach((v, i) => {
          expect(Math.abs(v - all[key][p * size + i]) / scale).toBeLessThan(1e-11);
        });
      }
      const single = overGround(finish, p);
      // identity; to a billionth of a µm: rounding
      expect(single.kind === "coats" && single.wetThickness).toBeCloseTo(wet + more[p], 9);
    });
  });

  test.each([
    ["straight on the part", undefined],
    ["on a basecoat", 50],
  ])("gradient and Hessian are those of finite differences, %s", (_, wetBase) => {
    // independent method: central differences; 2e-6 of the greatest entry: their own error
    const model = new ForwardModel(setting(coatsOver(wet, parts, more), wetBase));
    const random = seededRandom(11);
    model.smoothing = 0.3;
    const { size: n, objectives: m } = model;
    const h = 1e-5;
    for (let trial = 0; trial < 3; trial++) {
      const x = somewhere(random, n, wetBase ? 2 : 0);
      const at = answers(model, x);
      for (let i = 0; i < n; i++) {
        const up = answers(model, x.with(i, x[i] + h));
        const down = answers(model, x.with(i, x[i] - h));
        for (let o = 0; o < m; o++) {
          const slopes = at.g.subarray(o * n, (o + 1) * n);
          const bends = at.H.subarray(o * n * n, (o + 1) * n * n);
          const slope = (up.f[o] - down.f[o]) / (2 * h);
          expect(Math.abs(slope - slopes[i]) / Math.max(1, ...slopes.map(Math.abs))).toBeLessThan(2e-6);
          for (let j = 0; j < n; j++) {
            const bend = (up.g[o * n + j] - down.g[o * n + j]) / (2 * h);
            expect(Math.abs(bend - bends[i * n + j]) / Math.max(1, ...bends.map(Math.abs))).toBeLessThan(
              2e-6,
            );
          }
        }
      }
    }
  });
});
