import { expect, test } from "vitest";
import { largestResidual } from "../../src/charts/residualChart.ts";
import { draw, wordsOf } from "./drawn.ts";
import { charts, narrow, residual, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test("looks as it did (regression)", () => expectChart("residualChart", charts.residual(narrow)));

test("mid grey is no difference, the largest residual is white or black", () => {
  const fills = draw(charts.residual(wide))
    .marks("bar")[0]
    .all("rect")
    .map((rect) => rect.attributes.get("fill"));
  expect(largestResidual(residual.rows)).toBe(0.02);
  expect(fills[36 + 3]).toBe("rgb(255,255,255)");
  expect(fills[0]).toBe("rgb(128,128,128)");
  // identity: half the largest, the other way
  expect(fills[3]).toBe("rgb(65,65,65)");
});

test("noise does not look loud", () => {
  expect(largestResidual([{ label: "", values: [1e-4, -2e-4] }])).toBe(0.005);
});

test("a label that fits is whole; one that is too wide keeps its end, where the ground stands", () => {
  expect(wordsOf(charts.residual(wide))).toContain(residual.rows[0].label);
  const cut = draw(charts.residual(narrow)).marks("y-axis tick label")[0].all("text");
  // The whole label goes with it as a title.
  const shown = cut.map(({ children }) => children.filter((child) => typeof child === "string").join(""));
  expect(shown.filter((text) => /^….*, (black|white)$/.test(text))).toHaveLength(2);
});
