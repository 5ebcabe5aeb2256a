import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { mapChart } from "../../src/charts/mapChart.ts";
import { draw, placeOf, wordsOf } from "./drawn.ts";
import { charts, map, narrow, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did, as contours and as fields (regression)", () => {
  expectChart("mapChart", charts.map(narrow));
  expectChart("mapChart-fields", mapChart(Plot, { ...map, cells: true }, narrow));
});

test("the least value is marked and named", () => {
  const options = charts.map(wide);
  expect(wordsOf(options)).toContain("least 0.40");
  const picture = draw(options);
  const words = picture.all("text").find(({ textContent }) => textContent.startsWith("least"))!;
  expect(Math.abs(placeOf(words).x - picture.scale("x")!.apply(40))).toBeLessThan(20);
  expect(placeOf(words).y).toBeCloseTo(picture.scale("y")!.apply(2), 0);
});

test("fields that pass carry a dot; a value that is not finite is no field", () => {
  const values = Array.from(map.values, (value, i) => (i === 0 ? Number.NaN : value));
  const picture = draw(mapChart(Plot, { ...map, values, cells: true }, wide));
  expect(picture.marks("rect")[0].all("rect")).toHaveLength(values.length - 1);
  expect(picture.marks("dot")[0].all("circle")).toHaveLength(values.filter((value) => value <= 1.5).length);
});

test("words of two places close to each other stand apart", () => {
  for (const size of [wide, narrow]) {
    const picture = draw(mapChart(Plot, { ...map, current: { x: 39, y: 2.02 } }, size));
    const [least, now] = picture
      .all("text")
      .filter(({ textContent }) => /^(least|now)/.test(textContent))
      .map(placeOf);
    expect(Math.abs(least.y - now.y)).toBeGreaterThanOrEqual(15);
  }
});

test("values that do not fill the map are refused", () => {
  expect(() => mapChart(Plot, { ...map, values: [1] }, wide)).toThrow(/1 values for a map of 6 × 5/);
  expect(() => mapChart(Plot, { ...map, x: [1] }, wide)).toThrow(/at least 2 × 2 needed/);
});
