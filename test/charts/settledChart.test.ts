import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { settledChart } from "../../src/charts/settledChart.ts";
import { draw, wordsOf } from "./drawn.ts";
import { charts, settled, wavelengths, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("settledChart", charts.settled(wide)));

test("one bar for each run, from edge to edge of its wavelengths", () => {
  const picture = draw(settledChart(Plot, { wavelengths, statements: settled.statements.slice(0, 1) }, wide));
  const { invert } = picture.scale("x")!;
  const bars = picture.marks("bar")[0].all("rect");
  const ends = bars.map((bar) => [invert!(bar.at("x")), invert!(bar.at("x") + bar.at("width"))]);
  expect(ends.map((pair) => pair.map((nm: number) => Math.round(nm)))).toEqual([
    [375, 445],
    [595, 605],
  ]);
});

test("a statement that holds nowhere has no bar, its name stays; one of another length is refused", () => {
  const never = { label: "nothing", holds: wavelengths.map(() => false) };
  const options = settledChart(Plot, { wavelengths, statements: [never] }, wide);
  expect(draw(options).marks("bar")).toEqual([]);
  expect(wordsOf(options)).toContain("nothing");
  const short = { label: "short", holds: [true] };
  expect(() => settledChart(Plot, { wavelengths, statements: [short] }, wide)).toThrow(RangeError);
});
