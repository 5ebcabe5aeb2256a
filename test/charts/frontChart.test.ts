import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { frontChart } from "../../src/charts/frontChart.ts";
import { textWidth } from "../../src/charts/labels.ts";
import { draw, placeOf } from "./drawn.ts";
import { charts, front, narrow, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test.each([wide, narrow])("looks as it did at $width px (regression)", (size) =>
  expectChart(`frontChart-${size.width}`, charts.front(size)),
);

test.each([wide, narrow])("labels do not lie over one another at $width px", (size) => {
  const labels = draw(charts.front(size))
    .all("text")
    .filter(({ textContent }) => / \+ /.test(textContent))
    .map((text) => {
      const { x, y } = placeOf(text);
      const anchor = text.parent!.attributes.get("text-anchor") ?? "middle";
      return { left: x - { start: 0, middle: 0.5, end: 1 }[anchor]! * textWidth(text.textContent), y };
    });
  expect(labels.length).toBeGreaterThanOrEqual(2);
  labels.forEach((one, i) => {
    for (const other of labels.slice(i + 1))
      expect(Math.abs(one.y - other.y) >= 15 || Math.abs(one.left - other.left) >= 60).toBe(true);
  });
});

test("what passes is full, what does not is hollow, here and in the key", () => {
  const options = charts.front(wide);
  const dots = draw(options)
    .marks("dot")
    .map((group) => group.all("circle"))
    .find((circles) => circles.length === front.points.length)!;
  const fills = dots.map((dot) => dot.attributes.get("fill"));
  expect(fills[0]).not.toBe(fills[2]);
  expect(fills[2]).toBe(fills[3]);
  expect(options.key!.map(({ label, sign }) => [label, sign]).slice(0, 2)).toEqual([
    ["passes", "full"],
    ["does not", "hollow"],
  ]);
});

test("no points are refused", () =>
  expect(() => frontChart(Plot, { ...front, points: [] }, wide)).toThrow(/none given/));
