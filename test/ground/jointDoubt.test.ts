import { expect, test } from "vitest";
import type { Component } from "../../src/coating/component.ts";
import { drawnCurves } from "../../src/coating/jointDraws.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import type { JobSpread } from "../../src/ground/spread.ts";
import { panelDoubt } from "../../src/judgement/panelDoubt.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import { doubtfulComponents } from "../../src/recipes/coefficientDoubt.ts";
import { usualTrust } from "../../src/recipes/discrepancy.ts";
import { trustIn } from "../../src/recipes/trustIn.ts";
import { job } from "./lanternJob.ts";
import { uncertaintyOf } from "./wholeUncertainty.ts";

const onlyPigments: JobSpread = {
  filmBuild: { colour: 0, basecoat: 0 },
  ratio: 0,
  doseStep: 0,
  batch: 100,
  coefficientBands: 1,
  assumedBand: 0,
};

/** Components with joint draws of smooth curves, all of one posterior. */
function together(
  components: readonly Component[],
  posterior: string,
  sigma: number,
  count = 6,
): Component[] {
  const random = seededRandom(8);
  return components.map((component) => ({
    ...component,
    joint: {
      posterior,
      logs: Array.from({ length: count }, () => {
        const [a, b] = [sigma * normal(random), sigma * normal(random)];
        return Float64Array.from({ length: 72 }, (_, i) => (i < 36 ? a * Math.cos(i / 9) : b));
      }),
    },
  }));
}

const { components, volumes } = job.recipe;

// identity: with nothing else in doubt a played job is the job computed with the pastes of one draw, no mixture of draws.
test("played out, pastes that were found together take the same draw", () => {
  const recipe = { volumes, components: together(components, "one", 0.1) };
  const point = plannedPoint(job, 0.55);
  const { sorted, shares } = uncertaintyOf({
    job: { ...job, recipe },
    point,
    spread: onlyPigments,
    samples: 200,
    seed: 3,
  });
  const each = Array.from({ length: 6 }, (_, d) => {
    const drawn = recipe.components.map((one) => ({ ...one, ...drawnCurves(one, d) }));
    return new GroundChain({ ...job, recipe: { volumes, components: drawn } }).at(point);
  });
  expect(new Set([...sorted].map((value) => value.toFixed(9)))).toEqual(
    new Set(each.map((value) => value.toFixed(9))),
  );
  expect(shares[0].source).toBe("K and S");
});

// identity: the plain way of drawing, written out
test("components without joint draws are drawn as ever, also beside those that have them", () => {
  const own = components.slice(0, 2).map((component) => ({
    ...component,
    absorptionSigma: component.absorption.map((K) => 0.1 * K),
    scaleSigma: 0.2,
  }));
  const random = seededRandom(4);
  const plain = Array.from({ length: 20 }, () =>
    own.map(({ absorption, absorptionSigma, scattering, scaleSigma }) => {
      const scale = Math.exp(scaleSigma * normal(random));
      const z = normal(random);
      const K = absorption.map((value, i) => Math.max(0, value + z * absorptionSigma[i]) * scale);
      normal(random);
      return [K, scattering.map((value) => value * scale)];
    }),
  );
  const curves = (drawn: Component[][]) =>
    drawn.map((all) => all.slice(0, 2).map(({ absorption, scattering }) => [absorption, scattering]));
  expect(curves(doubtfulComponents(own, 20, 4))).toEqual(plain);
  const [third] = together(components.slice(2, 3), "one", 0.1);
  const beside = doubtfulComponents([...own, third], 20, 4);
  expect(curves(beside)[0]).toEqual(plain[0]);
  expect(beside.map((all) => all[2].absorption)).toEqual(
    beside.map((_, i) => drawnCurves(third, Math.floor((i * 6) / 20)).absorption),
  );
});

test("two posteriors have nothing to do with each other, and one draws all alike", () => {
  const [a, b] = together(components.slice(0, 2), "one", 0.1, 64);
  const other = { ...a, joint: { ...a.joint!, posterior: "another" } };
  const drawn = doubtfulComponents([a, { ...a }, other, b], 64, 1).map((all) =>
    all.map(({ scattering }, j) => Math.log(scattering[5] / [a, a, a, b][j].scattering[5])),
  );
  const correlation = (i: number, j: number) => {
    const sum = (k: number, l: number) => drawn.reduce((total, row) => total + row[k] * row[l], 0);
    return sum(i, j) / Math.sqrt(sum(i, i) * sum(j, j));
  };
  expect(correlation(0, 1)).toBeCloseTo(1, 12);
  // 64 independent pairs: 1σ of a correlation is 1/8
  expect(Math.abs(correlation(0, 2))).toBeLessThan(0.4);
});

test("a correction trusts K/S of its pot as the joint draws leave it", () => {
  expect(trustIn(components, volumes)).toBeUndefined();
  const ratio = (logs: Float64Array[]) =>
    trustIn(
      components.map((one) => ({ ...one, joint: { posterior: "one", logs } })),
      volumes,
    )!.ratio;
  const shift = (K: number, S: number) => Float64Array.from({ length: 72 }, (_, i) => (i < 36 ? K : S));
  // identity: K and S off by one factor leave K/S alone; K of all pastes off by ±10 % moves it by 10 %
  expect(ratio([shift(0.3, 0.3), shift(-0.3, -0.3)])).toBeCloseTo(usualTrust.ratio, 9);
  expect(ratio([shift(0.1, 0), shift(-0.1, 0)])).toBeCloseTo(Math.hypot(usualTrust.ratio, 0.1), 9);
});

test("a panel judged by eye is in doubt by the joint draws", () => {
  const paint = {
    components,
    binderIndex: components.findIndex(({ role }) => role === "binder"),
    finish: { kind: "opaque" as const },
    weights: job.eye.weights,
    surface: usualSurface,
    sheen: 0,
    maxLoading: 1,
  };
  const doubtAt = (sigma: number | undefined) =>
    panelDoubt(
      sigma === undefined ? paint : { ...paint, components: together(components, "one", sigma) },
      volumes,
    );
  // identity: draws without spread add nothing
  expect(doubtAt(0)).toBeCloseTo(doubtAt(undefined), 12);
  expect(doubtAt(0.2)).toBeGreaterThan(doubtAt(0.05));
  expect(doubtAt(0.05)).toBeGreaterThan(doubtAt(0));
});
