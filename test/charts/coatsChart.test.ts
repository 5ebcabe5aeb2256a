import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { coatsChart } from "../../src/charts/coatsChart.ts";
import { draw } from "./drawn.ts";
import { charts, coats, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("coatsChart", charts.coats(wide)));

test("counts from no coat to the longest series or the plan, in whole coats", () => {
  const domain = (data: typeof coats) => draw(coatsChart(Plot, data, wide)).scale("x")!.domain;
  expect(domain(coats)).toEqual([0, 4]);
  expect(domain({ ...coats, planned: 7 })).toEqual([0, 7]);
  const one = { ...coats, planned: 1, series: [{ label: "seats", deltaE: [9, 1] }] };
  const texts = draw(coatsChart(Plot, one, wide))
    .marks("x-axis tick label")[0]
    .all("text");
  expect(texts.map((text) => text.textContent)).toEqual(["0", "1"]);
});

test("refuses a series without values and a plan that is no number", () => {
  expect(() => coatsChart(Plot, { ...coats, series: [{ label: "seats", deltaE: [] }] }, wide)).toThrow(
    /“seats”/,
  );
  expect(() => coatsChart(Plot, { ...coats, planned: Number.NaN }, wide)).toThrow(RangeError);
});
