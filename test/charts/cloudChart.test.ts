import { expect, test } from "vitest";
import { draw, wordsOf } from "./drawn.ts";
import { charts, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("cloudChart", charts.cloud(wide)));

// identity: a*b* of the plane have one scale, so that a circle is drawn as a circle
test("both axes have one scale, and what is newest is drawn in ink", () => {
  const picture = draw(charts.cloud(wide));
  const [x, y] = [picture.scale("x")!, picture.scale("y")!];
  const along = Math.abs(x.apply(53) - x.apply(52));
  expect(Math.abs(y.apply(29) - y.apply(28))).toBeCloseTo(along, 6);
  const outlines = picture.marks("line");
  expect(outlines.map((group) => group.all("path").length)).toEqual([3, 1]);
});

test("every panel has its number and its lightness stands at the ends of the bar", () => {
  const words = wordsOf(charts.cloud(wide));
  for (const label of ["1", "2", "3", "L* 46.0", "37.0"]) expect(words).toContain(label);
});
