import { describe, expect, test } from "vitest";
import type { CircleSample } from "../../src/photo/circleSample.ts";
import { fallOffOf } from "../../src/photo/fallOff.ts";

function cardAt(x: number, y: number, light: number, refusals: string[] = []): CircleSample {
  return {
    circle: { x, y, radius: 5 },
    rgb: Float64Array.of(0.2 * light, 0.21 * light, 0.19 * light),
    spread: new Float64Array(3),
    count: 80,
    clipped: 0,
    shadowed: 0,
    saturated: 0,
    refusals,
    notes: [],
  };
}

describe("fallOffOf", () => {
  const places = [
    [10, 20],
    [300, 15],
    [20, 200],
    [310, 190],
    [160, 100],
    [100, 40],
    [220, 170],
  ] as const;

  test("two samples: the change along the line between them, none across it", () => {
    const { model, lightAt } = fallOffOf([cardAt(0, 100, 0.8), cardAt(200, 100, 1.25)]);
    expect(model).toBe("along a line");
    // identity: geometric middle; ends as sampled
    expect(lightAt(100, 100)).toBeCloseTo(1, 6);
    expect(lightAt(0, 100)).toBeCloseTo(0.8, 6);
    expect(lightAt(200, 0)).toBeCloseTo(1.25, 6);
    expect(lightAt(100, 300)).toBeCloseTo(1, 6);
  });

  test.each([
    [3, "plane", (x: number, y: number) => Math.exp(0.001 * x - 0.0007 * y)],
    [5, "plane", (x: number, y: number) => Math.exp(-0.0008 * x + 0.0005 * y)],
    [7, "bowl", (x: number, y: number) => Math.exp(0.0005 * x - 4e-6 * ((x - 160) ** 2 + (y - 100) ** 2))],
  ] as const)("%i samples recover a %s exactly", (count, model, light) => {
    const found = fallOffOf(places.slice(0, count).map(([x, y]) => cardAt(x, y, light(x, y))));
    expect(found.model).toBe(model);
    expect(found.residual).toBeLessThan(1e-6);
    const scale = found.lightAt(50, 60) / light(50, 60);
    for (const [x, y] of [
      [150, 150],
      [250, 30],
      [80, 110],
    ]) {
      expect(found.lightAt(x, y) / light(x, y) / scale).toBeCloseTo(1, 6);
    }
  });

  test("one sample, or all on one spot: nothing is corrected, and that is said", () => {
    for (const cards of [[], [cardAt(10, 10, 1)], [cardAt(10, 10, 1), cardAt(10, 10, 1.1)]]) {
      const found = fallOffOf(cards);
      expect(found.model).toBe("none");
      expect(found.lightAt(300, 5)).toBe(1);
      expect(found.notes.join()).toContain("not corrected");
    }
  });

  test("refused samples are left out, and very uneven light is pointed out", () => {
    const found = fallOffOf([cardAt(0, 0, 1), cardAt(100, 0, 9, ["overexposed"]), cardAt(200, 0, 2)]);
    expect(found.notes.join()).toContain("1 of 3 card samples left out");
    expect(found.notes.join()).toContain("2.0-fold");
    expect(found.lightAt(100, 0)).toBeCloseTo(1, 6);
  });

  test("what the model leaves over is told", () => {
    const bumpy = places.slice(0, 5).map(([x, y], i) => cardAt(x, y, i === 4 ? 1.1 : 1));
    expect(fallOffOf(bumpy).residual).toBeGreaterThan(0.05);
  });
});
