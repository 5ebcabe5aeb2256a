import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { barsChart } from "../../src/charts/barsChart.ts";
import { rowsHeight } from "../../src/charts/rowBars.ts";
import { draw, wordsOf } from "./drawn.ts";
import { charts, narrow, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("barsChart", charts.bars(narrow)));

test("bars as long as their shares; a share below nothing counts as nothing", () => {
  const options = charts.bars(wide);
  expect(options.height).toBe(rowsHeight(2));
  const lengths = draw(options)
    .marks("rect")[0]
    .all("rect")
    .map((rect) => rect.at("width"));
  // In order: both totals, both shares. identity: lengths in proportion
  expect(lengths[2] / lengths[0]).toBeCloseTo(0.96 / 0.99, 9);
  expect(lengths[3]).toBeCloseTo(2, 9);
  expect(wordsOf(options)).toContain("96.0 ± 1.0 %");
  expect(wordsOf(options)).toContain("0.0 ± 0.4 %");
});

test("no bars are refused", () =>
  expect(() => barsChart(Plot, { bars: [], xLabel: "" }, wide)).toThrow(/none given/));
