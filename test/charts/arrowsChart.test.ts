import { expect, test } from "vitest";
import { draw, placeOf, wordsOf } from "./drawn.ts";
import { arrows, charts, narrow, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

const sizes = [
  { ...wide, height: 460 },
  { ...narrow, height: 460 },
];

test.each(sizes)("looks as it did at $width px (regression)", (size) =>
  expectChart(`arrowsChart-${size.width}`, charts.arrows(size)),
);

test.each(sizes)(
  "one scale for both directions, one arrow and one name for each move at $width px",
  (size) => {
    const options = charts.arrows(size);
    const picture = draw(options);
    const unit = (axis: "x" | "y") => Math.abs(picture.scale(axis)!.apply(1) - picture.scale(axis)!.apply(0));
    // Edges of the plot area fall on half px.
    expect(unit("x") / unit("y")).toBeCloseTo(1, 2);
    expect(picture.marks("arrow")[0].all("path")).toHaveLength(arrows.moves.length);
    for (const { label } of arrows.moves)
      expect(wordsOf(options).filter((text) => text === label)).toHaveLength(1);
  },
);

test.each(sizes)("names in one column do not lie on each other at $width px", (size) => {
  for (const side of [1, -1]) {
    const names = arrows.moves.filter(({ a }) => a * side > 0).map(({ label }) => label);
    const heights = draw(charts.arrows(size))
      .all("text")
      .filter(({ textContent }) => names.includes(textContent))
      .map((text) => placeOf(text).y)
      .sort((a, b) => a - b);
    for (let i = 1; i < heights.length; i++) expect(heights[i] - heights[i - 1]).toBeGreaterThanOrEqual(15);
  }
});
