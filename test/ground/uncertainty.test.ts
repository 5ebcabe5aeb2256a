import { describe, expect, test } from "vitest";
import type { Component } from "../../src/coating/component.ts";
import { quantiles } from "../../src/fit/quantiles.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { type GroundJob, type GroundPoint, plannedPoint } from "../../src/ground/job.ts";
import { ribbonTask, uncertaintyTask } from "../../src/ground/longTasks.ts";
import { type Ribbon, uncertaintyRibbon } from "../../src/ground/ribbon.ts";
import { drawBuild, type JobSpread } from "../../src/ground/spread.ts";
import { ExpectedDifference } from "../../src/ground/thicknessProof.ts";
import {
  combineUncertainty,
  type DoubtSource,
  doubtSources,
  drawUncertainty,
  type Uncertainty,
  type UncertaintyRequest,
  uncertaintyChunks,
} from "../../src/ground/uncertainty.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { job, parts, wineJob } from "./lanternJob.ts";
import { uncertaintyOf, usualJobSpread } from "./wholeUncertainty.ts";

const point = plannedPoint(job, 0.55);
const nothing: JobSpread = {
  filmBuild: { colour: 0, basecoat: 0 },
  ratio: 0,
  doseStep: 0,
  batch: 100,
  coefficientBands: 0,
  assumedBand: 0,
};
const request = (change: Partial<UncertaintyRequest> = {}): UncertaintyRequest => ({
  job,
  point,
  spread: { ...usualJobSpread, assumedBand: 0.03 },
  samples: 2000,
  seed: 4,
  ...change,
});
const shareOf = ({ shares }: Uncertainty, wanted: DoubtSource) =>
  shares.find(({ source }) => source === wanted)!;

describe("Monte Carlo of a whole job", () => {
  const whole = uncertaintyOf(request());

  test("does not depend on how it is cut", () => {
    for (const chunks of [2, 7, 40]) {
      const draws = uncertaintyChunks(request(), chunks).map(drawUncertainty).reverse();
      expect(combineUncertainty(request(), draws)).toEqual(whole);
    }
  });

  test("equal seeds give equal results, other seeds others within chance", () => {
    expect(uncertaintyOf(request())).toEqual(whole);
    const other = uncertaintyOf(request({ seed: 5 }));
    expect(other.sorted).not.toEqual(whole.sorted);
    const error = Math.hypot(whole.worst.standardDeviation, other.worst.standardDeviation) / Math.sqrt(2000);
    expect(Math.abs(whole.worst.mean - other.worst.mean)).toBeLessThan(3.5 * error);
  });

  test("median and range are those of the sorted cases, for every part", () => {
    expect(whole.samples).toBe(2000);
    const inside = whole.sorted.filter((d) => d >= whole.worst.low && d <= whole.worst.high).length;
    expect(Math.abs(inside / 2000 - 0.9)).toBeLessThan(0.002); // definition, to whole cases
    expect(whole.sorted.filter((d) => d < whole.worst.median)).toHaveLength(1000);
    expect(whole.parts).toHaveLength(3);
    for (const part of whole.parts) {
      expect(part.low).toBeLessThan(part.median);
      expect(part.median).toBeLessThan(part.high);
      expect(part.median).toBeLessThanOrEqual(whole.worst.median); // the worst is no better than any part
    }
  });

  test("says how the shares were found and what was taken as exact", () => {
    expect(whole.method).toContain("first-order Sobol indices");
    expect(whole.notes.join()).toContain("±3 % is assumed");
    const exact = uncertaintyOf(request({ spread: usualJobSpread, samples: 100 }));
    expect(exact.notes.join()).toContain("are taken as exact");
    expect(shareOf(exact, "K and S")).toEqual({ source: "K and S", share: 0, total: 0, standardError: 0 });
  });

  test("nothing uncertain is nothing but the plan", () => {
    const certain = uncertaintyOf(request({ spread: nothing, samples: 100 }));
    const d = new GroundChain(job).at(point);
    expect(Math.abs(certain.worst.low - d)).toBeLessThan(1e-9); // identity
    expect(certain.worst.high).toBe(certain.worst.low);
    expect(certain.shares.every(({ share, total }) => share === 0 && total === 0)).toBe(true);
  });

  test.each([
    ["colour film build", { filmBuild: { colour: 0.2, basecoat: 0 } }],
    ["basecoat film build", { filmBuild: { colour: 0, basecoat: 0.3 } }],
    ["blend ratio", { ratio: 0.05 }],
    ["doses", { doseStep: 1 }],
    ["K and S", { coefficientBands: 1, assumedBand: 0.05 }],
  ] as [DoubtSource, Partial<JobSpread>][])("%s alone is all the doubt there is", (source, spread) => {
    const only = uncertaintyOf(request({ spread: { ...nothing, ...spread }, samples: 400 }));
    for (const other of doubtSources) {
      const { share, total } = shareOf(only, other);
      // identity: all of the variance, and none
      if (other === source) {
        expect(share).toBeCloseTo(1, 12);
        expect(total).toBeGreaterThan(0.7); // half the mean square of differences of independent pairs, over the variance
      } else expect([share, total]).toEqual([0, 0]);
    }
    expect(only.worst.high).toBeGreaterThan(only.worst.low);
  });

  test("its mean is the expected difference by quadrature", () => {
    // independent method: quadrature over both film builds; 3.5 standard errors
    const one = { ...job, substrates: [parts[1]] };
    const filmBuild = { colour: 0.2, basecoat: 0.2 };
    const { worst, samples } = uncertaintyOf(
      request({ job: one, spread: { ...nothing, filmBuild }, samples: 20_000 }),
    );
    const expected = new ExpectedDifference(one, filmBuild).at(0.55);
    expect(Math.abs(worst.mean - expected)).toBeLessThan(
      (3.5 * worst.standardDeviation) / Math.sqrt(samples),
    );
  });

  test("quantiles of a falling curve are those of the film build", () => {
    // identity: the difference of a too thin red falls with its build, so its 95 % point is that of the 5 %
    // build, 1 − 1.6449σ; 0.03: standard error of a quantile of 20,000, doubled
    const thin = { ...plannedPoint(job, 0.55), coats: 2 };
    const spread = { ...nothing, filmBuild: { colour: 0.1, basecoat: 0 } };
    const { worst } = uncertaintyOf(request({ point: thin, spread, samples: 20_000 }));
    const chain = new GroundChain(job);
    const at = (z: number) => chain.at({ ...thin, colourBuild: 1 + 0.1 * z });
    expect(Math.abs(worst.high - at(-1.644854))).toBeLessThan(0.03 * worst.high);
    expect(Math.abs(worst.median - at(0))).toBeLessThan(0.03 * worst.median);
    expect(Math.abs(worst.low - at(1.644854))).toBeLessThan(0.03 * worst.low);
  });

  test("small doubt far from the target shares out by squared slopes", () => {
    // independent method: central differences of the plain chain; for a straight function the first-order
    // share of a source is Σ(slope·σ)² over its inputs ÷ the same over all inputs. 5 standard errors and 0.01
    // for the bend of the function.
    const far: GroundJob = { ...job, target: wineJob.target, substrates: [parts[1]] };
    const spread: JobSpread = {
      filmBuild: { colour: 0.01, basecoat: 0.05 },
      ratio: 0.01,
      doseStep: 0.04,
      batch: 100,
      coefficientBands: 1,
      assumedBand: 0.01,
    };
    const found = uncertaintyOf(request({ job: far, spread, samples: 20_000 }));
    const value = (changed: Partial<GroundJob>, moved: Partial<GroundPoint> = {}) =>
      new GroundChain({ ...far, ...changed }).at({ ...point, ...moved });
    const slope = (f: (step: number) => number, h: number) => (f(h) - f(-h)) / (2 * h);
    const squares: Record<DoubtSource, number> = {
      "colour film build": (0.01 * slope((h) => value({}, { colourBuild: 1 + h }), 1e-4)) ** 2,
      "basecoat film build": (0.05 * slope((h) => value({}, { basecoatBuild: 1 + h }), 1e-4)) ** 2,
      "blend ratio": (0.01 * slope((h) => value({}, { ratio: 0.55 + h }), 1e-4)) ** 2,
      doses: 0,
      "K and S": 0,
    };
    far.recipe.components.forEach((_, j) => {
      const dosed = (h: number) => {
        const volumes = Float64Array.from(far.recipe.volumes);
        volumes[j] += h;
        return value({ recipe: { ...far.recipe, volumes } });
      };
      squares.doses += (0.04 * slope(dosed, 1e-3)) ** 2 / 12; // variance of even errors of ±0.02 mL
    });
    const scaled = (component: Component, key: "absorption" | "scattering", h: number): Component => ({
      ...component,
      [key]: component[key].map((v) => v * (1 + h)),
    });
    for (const key of ["absorption", "scattering"] as const) {
      far.recipe.components.forEach((_, j) => {
        const moved = (h: number) =>
          value({
            recipe: {
              ...far.recipe,
              components: far.recipe.components.map((c, k) => (k === j ? scaled(c, key, h) : c)),
            },
          });
        squares["K and S"] += (0.01 * slope(moved, 1e-3)) ** 2;
      });
      far.paints.forEach((_, j) => {
        const moved = (h: number) =>
          value({ paints: far.paints.map((c, k) => (k === j ? scaled(c, key, h) : c)) });
        squares["K and S"] += (0.01 * slope(moved, 1e-3)) ** 2;
      });
    }
    const all = Object.values(squares).reduce((a, b) => a + b, 0);
    for (const source of doubtSources) {
      const { share, total, standardError } = shareOf(found, source);
      expect(Math.abs(share - squares[source] / all), source).toBeLessThan(5 * standardError + 0.01);
      expect(Math.abs(total - squares[source] / all), source).toBeLessThan(0.05);
    }
    expect(Math.abs(found.worst.standardDeviation / Math.sqrt(all) - 1)).toBeLessThan(0.03);
  });

  test("colour film build is what matters most for a translucent red", () => {
    // common practice: an even hand makes or breaks a red
    expect(whole.shares[0].source).toBe("colour film build");
    expect(whole.shares[0].share).toBeGreaterThan(0.5);
  });
});

describe("ribbon around a curve", () => {
  const ribbon = (change: object): Ribbon =>
    uncertaintyRibbon({
      job,
      point,
      spread: request().spread,
      setting: "ratio",
      values: [0, 0.25, 0.55, 1],
      samples: 1500,
      seed: 3,
      ...change,
    });

  test.each(["ratio", "coats"] as const)(
    "along %s it holds the curve itself when nothing is uncertain",
    (setting) => {
      const values = setting === "ratio" ? [0, 0.3, 1] : [0, 1, 4, 6];
      const { low, median, high } = ribbon({ spread: nothing, samples: 3, setting, values });
      const chain = new GroundChain(job);
      values.forEach((value, k) => {
        const d = chain.at({ ...point, [setting]: value });
        for (const edge of [low, median, high]) expect(Math.abs(edge[k] - d)).toBeLessThan(1e-9); // identity
      });
    },
  );

  test("its edges are those of the Monte Carlo at the same place", () => {
    const { low, median, high } = ribbon({});
    const whole = uncertaintyOf(request({ samples: 4000 })).worst;
    // 15 %: standard error of quantiles of 1500
    expect(Math.abs(low[2] / whole.low - 1)).toBeLessThan(0.15);
    expect(Math.abs(median[2] / whole.median - 1)).toBeLessThan(0.15);
    expect(Math.abs(high[2] / whole.high - 1)).toBeLessThan(0.15);
    for (let k = 0; k < 4; k++) {
      expect(low[k]).toBeLessThan(median[k]);
      expect(median[k]).toBeLessThan(high[k]);
    }
  });

  test("at the planned coats, coats and ratio meet", () => {
    const along = ribbon({ setting: "coats", values: [4] });
    const across = ribbon({ values: [0.55] });
    expect(along.median[0]).toBe(across.median[0]); // identity: the same draws
    expect(along.high[0]).toBe(across.high[0]);
  });
});

describe("as a task", () => {
  test("gives what the direct call gives, and tells how far it is", async () => {
    const shares: number[] = [];
    const found = await runDirect(uncertaintyTask, request({ samples: 600 }), {
      onProgress: (share) => shares.push(share),
    });
    expect(found).toEqual(uncertaintyOf(request({ samples: 600 })));
    expect(shares.at(-1)).toBe(1);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(await runDirect(ribbonTask, { ...request(), setting: "coats", values: [1, 2] })).toHaveProperty(
      "median",
    );
  });

  test("stops when it is told to", async () => {
    const stop = new AbortController();
    const reason = new Error("enough");
    const running = runDirect(uncertaintyTask, request({ samples: 50_000 }), {
      signal: stop.signal,
      onProgress: () => stop.abort(reason),
    });
    await expect(running).rejects.toBe(reason);
  });

  test("a spread that cannot be is refused by name", () => {
    const wrong = (spread: Partial<JobSpread>) => () =>
      drawUncertainty(uncertaintyChunks(request({ spread: { ...nothing, ...spread } }), 1)[0]);
    expect(wrong({ filmBuild: { colour: 2, basecoat: 0 } })).toThrow(/colour's film build = 2/);
    expect(wrong({ ratio: 0.9 })).toThrow(/spread of the blend ratio/);
    expect(wrong({ batch: 0 })).toThrow(/batch = 0/);
    expect(() => uncertaintyChunks(request({ samples: 0 }), 1)).toThrow(/samples = 0/);
  });
});

test("quantiles lie on the line between neighbours", () => {
  // source: Hyndman, Fan 1996, definition 7: for 1 … 5 the quartiles are 2, 3, 4, the 5 % point 1.2
  const [low, first, second, third] = quantiles(Float64Array.of(1, 2, 3, 4, 5), [0.05, 0.25, 0.5, 0.75]);
  expect([first, second, third]).toEqual([2, 3, 4]);
  expect(low).toBeCloseTo(1.2, 14);
});

test("drawn builds are never below zero and average as a truncated normal", () => {
  const random = seededRandom(9);
  let sum = 0;
  const draws = 50_000;
  for (let n = 0; n < draws; n++) {
    const build = drawBuild(random, 0.8);
    expect(build).toBeGreaterThanOrEqual(0);
    sum += build;
  }
  // identity: mean 1 + σ·φ(1/σ)/Φ(1/σ) = 1.16334 for σ = 0.8; 0.012: 4 standard errors
  const h = Math.exp(-0.5 / 0.64) / Math.sqrt(2 * Math.PI) / 0.8943502;
  expect(Math.abs(sum / draws - (1 + 0.8 * h))).toBeLessThan(0.012);
});
