import { describe, expect, test } from "vitest";
import {
  type Corner,
  clipAt,
  levelLine,
  smallTriangles,
  triangleHeight,
  trianglePlace,
  triangleShares,
} from "../../src/charts/triangleGeometry.ts";
import { blends as points, steps, triangle } from "./examples.ts";

describe("triangle", () => {
  test("a place and its blend go back and forth; outside counts as the nearest edge", () => {
    // identity: round trip
    for (const { second, third } of points) {
      const shares = triangleShares(trianglePlace(second, third));
      expect(shares.second).toBeCloseTo(second, 12);
      expect(shares.third).toBeCloseTo(third, 12);
      expect(shares.first).toBeCloseTo(1 - second - third, 12);
    }
    expect(triangleShares({ x: -2, y: -1 })).toEqual({ first: 1, second: 0, third: 0 });
    const outside = triangleShares({ x: 0.9, y: 0.8 });
    expect(outside.first).toBe(0);
    expect(outside.second + outside.third).toBeCloseTo(1, 12);
  });

  const corners: Corner[] = points.map(({ second, third }, k) => ({
    ...trianglePlace(second, third),
    v: triangle.values[k],
  }));
  const pieces = smallTriangles(steps).map((three) => three.map((k) => corners[k]));
  const area = (piece: readonly Corner[]) =>
    Math.abs(
      piece.reduce((sum, a, i) => {
        const b = piece[(i + 1) % piece.length];
        return sum + a.x * b.y - b.x * a.y;
      }, 0) / 2,
    );

  test("the small triangles fill the large one, and what a level cuts adds up again", () => {
    // identity: areas
    expect(pieces.length).toBe(steps * steps);
    const whole = triangleHeight / 2;
    expect(pieces.reduce((sum, piece) => sum + area(piece), 0)).toBeCloseTo(whole, 12);
    for (const level of [0.3, 1, 2.2, 9]) {
      const below = pieces.reduce((sum, piece) => sum + area(clipAt(piece, level, "below")), 0);
      const above = pieces.reduce((sum, piece) => sum + area(clipAt(piece, level, "above")), 0);
      expect(below + above).toBeCloseTo(whole, 12);
    }
  });

  test("the heavy line runs where a linear result has that level", () => {
    // identity: a plane is cut by a straight line
    const plane = pieces.map((piece) => piece.map((corner) => ({ ...corner, v: corner.x + 2 * corner.y })));
    let length = 0;
    for (const piece of plane) {
      const ends = levelLine(piece, 0.7);
      if (!ends) continue;
      for (const { x: px, y: py } of ends) expect(px + 2 * py).toBeCloseTo(0.7, 12);
      length += Math.hypot(ends[0].x - ends[1].x, ends[0].y - ends[1].y);
    }
    // from x = 0.7 on the lower edge to the left edge, where y = √3·x: x = 0.7/(1 + 2√3)
    const left = 0.7 / (1 + 2 * Math.sqrt(3));
    expect(length).toBeCloseTo(Math.hypot(0.7 - left, Math.sqrt(3) * left), 9);
  });
});
