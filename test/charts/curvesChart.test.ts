import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import { draw, pathOf } from "./drawn.ts";
import { charts, curves, wavelengths, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

const domainOf = (data: Parameters<typeof curvesChart>[1]) =>
  draw(curvesChart(Plot, data, wide)).scale("y")!.domain as number[];
const flat = (value: number) => wavelengths.map(() => value);

test("looks as it did (regression)", () => expectChart("curvesChart", charts.curves(wide)));

test("a logarithmic axis covers whole powers of ten, five at most, each with its number", () => {
  expect(domainOf(curves)).toEqual([0.001, 1]);
  const texts = draw(charts.curves(wide)).marks("y-axis tick label")[0].all("text");
  expect(texts.map((text) => text.textContent)).toEqual(["0.001", "0.01", "0.1", "1"]);
  const deep = {
    ...curves,
    curves: [{ label: "K", y: wavelengths.map((_, i) => (i === 0 ? 1e-12 : 0.5)) }],
  };
  const [low, high] = domainOf(deep);
  expect(high / low).toBeCloseTo(1e5, 3);
});

test("zero leaves a gap on a logarithmic axis and no text such as NaN", () => {
  const none = { ...curves, curves: [{ label: "S", y: flat(0) }] };
  expect(domainOf(none).every(Number.isFinite)).toBe(true);
  const half = { ...curves, curves: [{ label: "S", y: wavelengths.map((_, i) => (i === 9 ? 0 : 0.5)) }] };
  const [line] = draw(curvesChart(Plot, half, wide)).marks("line");
  const d = line.all("path")[0].attributes.get("d")!;
  expect(d.match(/M/g)).toHaveLength(2);
  expect(d).not.toContain("NaN");
});

test("a linear axis always shows zero", () => {
  const linear = { ...curves, logarithmic: false, curves: [{ label: "S", y: flat(5.2) }] };
  const [low, high] = domainOf(linear);
  expect(low).toBe(0);
  expect(high).toBeGreaterThanOrEqual(5.2);
});

test("a band wider than the axis stays inside it", () => {
  const band = { low: flat(1e-9), high: flat(500) };
  const data = { ...curves, curves: [{ label: "K", y: flat(0.5), band }] };
  const picture = draw(curvesChart(Plot, data, wide));
  const [bottom, top] = picture.scale("y")!.range as number[];
  for (const { y } of pathOf(picture.marks("area")[0].all("path")[0])) {
    expect(y).toBeLessThanOrEqual(bottom + 1e-3);
    expect(y).toBeGreaterThanOrEqual(top - 1e-3);
  }
});

test("refuses a curve of another length", () => {
  const short = { ...curves, curves: [{ label: "K", y: [1, 2] }] };
  expect(() => curvesChart(Plot, short, wide)).toThrow(/“K”: 2 values for 36 places/);
});
