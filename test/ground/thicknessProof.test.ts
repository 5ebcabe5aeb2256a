import { describe, expect, test } from "vitest";
import { leastOf } from "../../src/fit/leastOf.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { belowZero, filmBuildRule } from "../../src/ground/filmBuildRule.ts";
import { type GroundJob, plannedPoint } from "../../src/ground/job.ts";
import { drawBuild } from "../../src/ground/spread.ts";
import { chooseRatio, ExpectedDifference } from "../../src/ground/thicknessProof.ts";
import { thorough } from "../howMuch.ts";
import { grey, job, parts, wineJob } from "./lanternJob.ts";

describe("film builds", () => {
  test("share below zero thickness", () => {
    // source: Abramowitz, Stegun, tables 26.1 and 26.2: Q(1), Q(2.5), Q(5)
    expect(belowZero(1)).toBeCloseTo(0.158655253931, 9);
    expect(belowZero(0.4)).toBeCloseTo(0.006209665326, 11);
    expect(belowZero(0.2)).toBeCloseTo(2.866515719e-7, 15);
    expect(belowZero(0)).toBe(0);
  });

  test.each([0.05, 0.2, 0.4, 0.8])("moments of the truncated normal distribution, σ = %d", (sigma) => {
    // identity: mean 1 + σh, mean square σ² + 1 + σh for truncation at 0, h = φ(1/σ)/Φ(1/σ); 2e-5: what lies
    // beyond 5σ
    const { builds, weights, cutOff } = filmBuildRule(sigma, 16);
    const density = Math.exp(-0.5 / (sigma * sigma)) / Math.sqrt(2 * Math.PI);
    const h = density / (1 - cutOff);
    const sum = (of: (build: number) => number) => builds.reduce((s, b, k) => s + weights[k] * of(b), 0);
    expect(sum(() => 1)).toBeCloseTo(1, 14);
    expect(Math.abs(sum((b) => b) - (1 + sigma * h))).toBeLessThan(2e-5);
    expect(Math.abs(sum((b) => b * b) - (sigma * sigma + 1 + sigma * h))).toBeLessThan(2e-5);
    expect(Math.min(...builds)).toBeGreaterThan(0);
  });

  test("no spread is the planned build alone", () => {
    expect(filmBuildRule(0, 4)).toEqual({
      builds: Float64Array.of(1),
      weights: Float64Array.of(1),
      cutOff: 0,
    });
    expect(() => filmBuildRule(1.5, 4)).toThrow(/standard deviation of the film build = 1\.5/);
  });
});

/** Expected difference of one part by Simpson's rule over both builds, densely. */
function dense(one: GroundJob, ratio: number, sigma: number, part: number): number {
  const chain = new GroundChain(one);
  const rule = (n: number) => {
    const low = Math.max(0, 1 - 6 * sigma);
    const step = (1 + 6 * sigma - low) / n;
    const builds = Array.from({ length: n + 1 }, (_, k) => low + k * step);
    const weights = builds.map(
      (b, k) => (k === 0 || k === n ? 1 : k % 2 === 1 ? 4 : 2) * Math.exp(-0.5 * ((b - 1) / sigma) ** 2),
    );
    const total = weights.reduce((a, b) => a + b, 0);
    return { builds, weights: weights.map((w) => w / total) };
  };
  const [colour, base] = sigma > 0.2 ? [rule(400), rule(200)] : [rule(1200), rule(24)];
  let sum = 0;
  base.builds.forEach((basecoatBuild, b) => {
    colour.builds.forEach((colourBuild, c) => {
      chain.at({ ...plannedPoint(one, ratio), colourBuild, basecoatBuild });
      sum += base.weights[b] * colour.weights[c] * chain.differences[part];
    });
  });
  return sum;
}

describe("expected difference under an uneven hand", () => {
  test.each([
    ["red, where the match is nearest", job, 0.547, 0.2, 1e-4],
    ["red, grey ground", job, 0.2, 0.2, 1e-4],
    ["red, creamy ground, little spread", job, 0.6, 0.1, 1e-4],
    ["wine red, much spread", wineJob, 0.25, 0.4, 1.5e-3],
  ] as [string, GroundJob, number, number, number][])(
    "%s: a dense rule agrees",
    (_, one, ratio, sigma, tolerance) => {
      // independent method: Simpson's rule, 1200 × 24 steps (400 × 200). 1e-4: the crease of ΔE00 at the
      // nearest match; 1.5e-3 in 4.3 where films of next to nothing occur, that change the colour steeply
      const expected = new ExpectedDifference(one, { colour: sigma, basecoat: sigma });
      const worst = expected.at(ratio);
      expect(Math.abs(expected.expected[1] - dense(one, ratio, sigma, 1))).toBeLessThan(tolerance);
      expect(worst).toBe(Math.max(...expected.expected));
    },
  );

  test("200,000 drawn films agree within their standard error", () => {
    // independent method: Monte Carlo, seeds 1 to 8. At the usual ±20 % (the first six) the two agree within one
    // standard error; over all eight the squares of the deviations sum to no more than chance allows once in a
    // hundred (chi-square, 8 degrees of freedom: 20.1).
    const cases: [GroundJob, number, number][] = [
      [job, 0.547, 0.2],
      [job, 0.59, 0.2],
      [job, 0.1, 0.2],
      [job, 0.9, 0.2],
      [wineJob, 0.25, 0.2],
      [wineJob, 0.6, 0.2],
      [job, 0.55, 0.1],
      [job, 0.55, 0.4],
    ];
    const tried = thorough ? cases : cases.slice(0, 3);
    const deviations = tried.map(([one, ratio, sigma], seed) => {
      const single = { ...one, substrates: [parts[1]] };
      const chain = new GroundChain(single);
      const random = seededRandom(seed + 1);
      const point = { ...plannedPoint(single, ratio) };
      let sum = 0;
      let squares = 0;
      const draws = 200_000;
      for (let n = 0; n < draws; n++) {
        point.colourBuild = drawBuild(random, sigma);
        point.basecoatBuild = drawBuild(random, sigma);
        const d = chain.at(point);
        sum += d;
        squares += d * d;
      }
      const mean = sum / draws;
      const error = Math.sqrt((squares / draws - mean * mean) / draws);
      const quadrature = new ExpectedDifference(single, { colour: sigma, basecoat: sigma }).at(ratio);
      return (mean - quadrature) / error;
    });
    for (const z of deviations.slice(0, 6)) expect(Math.abs(z), String(deviations)).toBeLessThan(1);
    expect(deviations.reduce((sum, z) => sum + z * z, 0)).toBeLessThan(20.1);
  });

  test("a single Gauss-Hermite rule would not do", () => {
    // source: Abramowitz, Stegun, table 25.10, Hermite integration with 9 nodes; this is why panels are used
    const nodes = [0, 0.723551018752838, 1.468553289216668, 2.266580584531843, 3.190993201781528];
    const weights = [
      7.202352156061e-1, 4.326515590026e-1, 8.847452739438e-2, 4.943624275537e-3, 3.960697726326e-5,
    ];
    const chain = new GroundChain(job);
    const at = (build: number): number => {
      chain.at({ ...plannedPoint(job, 0.6), colourBuild: build });
      return chain.differences[1];
    };
    let hermite = 0;
    nodes.forEach((x, k) => {
      const off = Math.SQRT2 * 0.2 * x;
      hermite += (weights[k] / Math.sqrt(Math.PI)) * (k === 0 ? at(1) : at(1 + off) + at(1 - off));
    });
    const expected = new ExpectedDifference(job, { colour: 0.2, basecoat: 0 });
    expected.at(0.6);
    expect(Math.abs(hermite - expected.expected[1])).toBeGreaterThan(0.005);
  });
});

describe("choice of the ratio", () => {
  const choice = chooseRatio(job);

  test("the best lies strictly between the two paints, and the flat region about it", () => {
    // common practice: a blend in between can beat both
    expect(choice.best.ratio).toBeGreaterThan(0.05);
    expect(choice.best.ratio).toBeLessThan(0.95);
    expect(choice.best.difference).toBeLessThan(0.5);
    expect(choice.flat[0]).toBeLessThan(choice.best.ratio);
    expect(choice.flat[1]).toBeGreaterThan(choice.best.ratio);
    const chain = new GroundChain(job);
    for (const edge of choice.flat) {
      expect(chain.at(plannedPoint(job, edge))).toBeCloseTo(choice.best.difference + 0.3, 4); // identity
    }
    choice.nominal.forEach((d) => {
      expect(d).toBeGreaterThanOrEqual(choice.best.difference - 1e-6);
    });
  });

  test("the safest has the least expected difference and may pay for it on paper", () => {
    choice.expected.forEach((d) => {
      expect(d).toBeGreaterThanOrEqual(choice.safest.expected - 1e-6);
    });
    expect(choice.safest.expected).toBeLessThan(choice.best.expected);
    expect(choice.safest.difference).toBeGreaterThan(choice.best.difference);
    expect(choice.safest.ratio).not.toBeCloseTo(choice.best.ratio, 2);
  });

  test("the difference is told in words", () => {
    expect(choice.words).toContain("With the films as planned the best blend is 5 parts to 6");
    expect(choice.words).toContain("a thin place misses by more");
    expect(choice.words).toContain("with more Warm cream");
    expect(choice.notes).toEqual([]); // next to nothing is cut off at ±20 %
  });

  test("what is cut off is said", () => {
    const wide = chooseRatio(job, { spread: { colour: 0.5, basecoat: 0.2 }, points: 11 });
    expect(wide.cutOff.colour).toBeCloseTo(belowZero(0.5), 15);
    expect(wide.notes.join()).toContain("2.3 % of the assumed colour builds would be thinner than nothing");
  });

  test("an even hand makes the best the safest", () => {
    const even = chooseRatio(job, { spread: { colour: 0, basecoat: 0 }, points: 21 });
    expect(even.safest.ratio).toBeCloseTo(even.best.ratio, 2);
    expect(even.expected).toEqual(even.nominal);
    expect(even.words).not.toContain("Safer");
  });

  test("other coats or another loading have another best", () => {
    const fuller = chooseRatio(job, {
      points: 21,
      point: { ...plannedPoint(job, 0), coats: 6, loading: 0.15 },
    });
    const chain = new GroundChain(job);
    expect(fuller.best.difference).toBeCloseTo(
      chain.at({ ...plannedPoint(job, fuller.best.ratio), coats: 6, loading: 0.15 }),
      9,
    );
    fuller.nominal.forEach((d) => {
      expect(d).toBeGreaterThanOrEqual(fuller.best.difference - 1e-6);
    });
  });

  test("nothing to choose is refused", () => {
    expect(() => chooseRatio({ ...job, paints: [grey] })).toThrow(/one base paint/);
    expect(() => chooseRatio({ ...job, basecoatWet: 0 })).toThrow(/no basecoat/);
  });
});

test("least point of a valley, inside and at the edge", () => {
  expect(leastOf((x) => (x - 0.3) ** 2, 0, 1)).toBeCloseTo(0.3, 3);
  expect(leastOf((x) => x, 0.2, 1)).toBe(0.2);
  expect(leastOf((x) => -x, 0.2, 1)).toBe(1);
});
