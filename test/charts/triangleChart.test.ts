import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { triangleChart } from "../../src/charts/triangleChart.ts";
import { draw, wordsOf } from "./drawn.ts";
import { charts, narrow, triangle, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("triangleChart", charts.triangle(narrow)));

test.each([wide, narrow])("one scale for both directions, the corners named, at $width px", (size) => {
  const options = charts.triangle(size);
  const picture = draw(options);
  const unit = (axis: "x" | "y") => Math.abs(picture.scale(axis)!.apply(1) - picture.scale(axis)!.apply(0));
  expect(unit("x") / unit("y")).toBeCloseTo(1, 6);
  for (const name of triangle.names) expect(wordsOf(options)).toContain(name);
  expect(wordsOf(options)).toContain("heavy line: tolerance 1");
});

test.each([
  [0.1, "nowhere within 0.1"],
  [99, "everywhere within 99"],
])("a tolerance of %d: %s", (level, words) =>
  expect(wordsOf(triangleChart(Plot, { ...triangle, level }, wide))).toContain(words),
);

test("values that do not fill it are refused", () =>
  expect(() => triangleChart(Plot, { ...triangle, values: [1, 2] }, wide)).toThrow(
    /2 values for a triangle of 12 steps: 91 needed/,
  ));
