import { describe, expect, test } from "vitest";
import { shapeArea } from "../../src/job/shapes.ts";

describe("area of common shapes", () => {
  test.each([
    // identity: plane and solid geometry
    ["rectangle", { width: 0.6, length: 0.9, height: 0 }, 0.54],
    ["disc", { width: 0.4, length: 0, height: 0 }, Math.PI * 0.04],
    ["cushion", { width: 0.5, length: 0.6, height: 0.1 }, 0.3 + 2 * 1.1 * 0.1],
    ["roll", { width: 0.2, length: 0.5, height: 0 }, Math.PI * 0.1],
  ] as const)("%s", (shape, sides, area) => expect(shapeArea(shape, sides)).toBeCloseTo(area, 14));

  test("a cushion without height is its top", () => {
    const sides = { width: 0.5, length: 0.6, height: 1e-12 };
    expect(shapeArea("cushion", sides)).toBeCloseTo(shapeArea("rectangle", sides), 10); // identity: limit
  });

  test("lengths that are needed must be above 0, in words", () => {
    expect(() => shapeArea("rectangle", { width: 0, length: 1, height: 0 })).toThrow(/width.*m/);
    expect(() => shapeArea("disc", { width: -1, length: 1, height: 0 })).toThrow(/diameter/);
    expect(() => shapeArea("cushion", { width: 1, length: 1, height: 0 })).toThrow(/height/);
    expect(() => shapeArea("roll", { width: 1, length: 0, height: 0 })).toThrow(/length/);
  });
});
