import { describe, expect, test } from "vitest";
import { normalShare } from "../../src/fit/normalShare.ts";
import { momentsOf, weightedCloud } from "../../src/fit/weightedCloud.ts";

describe("normalShare", () => {
  test.each([
    [0, 0.5],
    [1, 0.8413447],
    [-1.959964, 0.025],
    [3, 0.9986501],
  ])("below %d", (x, share) => expect(normalShare(x)).toBeCloseTo(share, 6)); // source: Abramowitz, Stegun 1964, table 26.1
});

describe("weightedCloud", () => {
  /** A normal far from the start and much narrower: mean 6 and −4, standard deviations 0.2 and 0.5, correlation 0.8. */
  const narrow = (points: Float64Array, at: number): number => {
    const u = (points[at] - 6) / 0.2;
    const v = (points[at + 1] + 4) / 0.5;
    return -(u * u - 1.6 * u * v + v * v) / (2 * 0.36);
  };
  const start = { mean: Float64Array.of(0, 0), covariance: Float64Array.of(25, 0, 0, 25) };
  const cloud = weightedCloud(narrow, start, 4000, 3);

  test("finds mean, covariance and integral of a normal", () => {
    const { mean, covariance } = momentsOf(cloud.points, cloud.weights, 2);
    // identity: a normal's moments and its integral 2π·0.2·0.5·√(1 − 0.8²); 4 standard errors of 4000 points
    expect(Math.abs(mean[0] - 6)).toBeLessThan(0.015);
    expect(Math.abs(mean[1] + 4)).toBeLessThan(0.035);
    expect(covariance[0] / 0.04).toBeCloseTo(1, 1);
    expect(covariance[1] / 0.08).toBeCloseTo(1, 1);
    expect(covariance[3] / 0.25).toBeCloseTo(1, 1);
    expect(Math.abs(cloud.logTotal - Math.log(2 * Math.PI * 0.06))).toBeLessThan(0.05);
    expect(cloud.worth).toBeGreaterThan(2000);
  });

  test("the same seed gives the same cloud", () => {
    expect(weightedCloud(narrow, start, 4000, 3).points).toEqual(cloud.points);
  });

  test("refuses a density that is nothing everywhere", () => {
    expect(() => weightedCloud(() => -Infinity, start, 100, 1)).toThrow(RangeError);
  });
});
