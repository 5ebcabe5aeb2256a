import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { ribbonChart } from "../../src/charts/ribbonChart.ts";
import { draw, wordsOf } from "./drawn.ts";
import { charts, narrow, ribbon, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test.each([wide, narrow])("looks as it did at $width px (regression)", (size) =>
  expectChart(`ribbonChart-${size.width}`, charts.ribbon(size)),
);

test("every curve, area and marker is named", () => {
  const words = wordsOf(charts.ribbon(wide));
  for (const { label } of [...ribbon.curves, ...ribbon.areas, ...ribbon.markers])
    expect(words).toContain(label);
  expect(words).toContain("tolerance 1");
});

test("a list of another length is refused by name", () => {
  const short = { ...ribbon, curves: [{ label: "as planned", x: ribbon.curves[0].x, y: [1, 2] }] };
  expect(() => ribbonChart(Plot, short, wide)).toThrow(/“as planned”: 2 values for 21 places/);
});

test.each([2, 3, 10])("up to %d coats are counted in whole numbers", (most) => {
  const coats = { ...ribbon, xKind: "count" as const, domain: [1, most] as const, markers: [] };
  const ticks = draw(ribbonChart(Plot, coats, narrow))
    .marks("x-axis tick label")[0]
    .all("text");
  expect(ticks.length).toBeGreaterThanOrEqual(Math.min(most, 4));
  for (const { textContent } of ticks) expect(textContent).toMatch(/^\d+$/);
});
