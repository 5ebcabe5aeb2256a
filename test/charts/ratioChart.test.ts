import * as Plot from "@observablehq/plot";
import { expect, test } from "vitest";
import { textWidth } from "../../src/charts/labels.ts";
import { ratioChart } from "../../src/charts/ratioChart.ts";
import { draw, placeOf } from "./drawn.ts";
import { charts, narrow, ratio, wide } from "./examples.ts";
import { expectChart } from "./picture.ts";

test.each([wide, narrow])("looks as it did at $width px (regression)", (size) =>
  expectChart(`ratioChart-${size.width}`, charts.ratio(size)),
);

test("the strip has one rectangle for each ratio, edge to edge, in the colours given", () => {
  const options = charts.ratio(wide);
  const picture = draw(options);
  const strip = picture.marks("rect").at(-1)!.all("rect");
  expect(strip.map((rect) => rect.attributes.get("fill"))).toEqual(ratio.colours);
  for (let i = 1; i < strip.length; i++)
    expect(strip[i].at("x")).toBeCloseTo(strip[i - 1].at("x") + strip[i - 1].at("width"), 9);
  const [left, right] = picture.scale("x")!.range as number[];
  expect(strip[0].at("x")).toBe(left);
  expect(strip.at(-1)!.at("x") + strip.at(-1)!.at("width")).toBe(right);
  // Under the axis of differences, over the texts of the ratios.
  expect(strip[0].at("y")).toBeGreaterThan((picture.scale("y")!.range as number[])[0]);
  expect(strip[0].at("y") + strip[0].at("height")).toBeLessThan(options.height! - 40);
});

test("the flat region lies where it is said to be", () => {
  const picture = draw(charts.ratio(wide));
  const [flat] = picture.marks("rect")[0].all("rect");
  const { apply } = picture.scale("x")!;
  expect(flat.at("x")).toBeCloseTo(apply(0.5), 6);
  expect(flat.at("x") + flat.at("width")).toBeCloseTo(apply(0.7), 6);
  expect(charts.ratio(wide).key!.at(-1)!.label).toBe("flat 50–70 %");
});

test("the difference axis is widened near zero and holds every curve and the tolerance", () => {
  const high = { ...ratio, curves: [{ label: "varied", deltaE: ratio.ratios.map(() => 11) }] };
  const top = (data: typeof ratio) => draw(ratioChart(Plot, data, wide)).scale("y")!.domain as number[];
  expect(draw(charts.ratio(wide)).scale("y")!.exponent).toBe(0.5);
  expect(top(high)[0]).toBe(0);
  expect(top(high)[1]).toBeGreaterThanOrEqual(11);
  expect(top({ ...ratio, tolerance: 30 })[1]).toBeGreaterThanOrEqual(30);
});

test("the words of best and now stand at different heights, each beginning at its own line", () => {
  for (const current of [0, 0.58, 0.6, 0.62, 1]) {
    const picture = draw(ratioChart(Plot, { ...ratio, current }, narrow));
    const flag = (words: RegExp) => picture.all("text").find((text) => words.test(text.textContent))!;
    const [best, now] = [placeOf(flag(/^best/)), placeOf(flag(/^now/))];
    expect(now.y - best.y).toBeGreaterThanOrEqual(15);
    expect(Math.abs(now.x - picture.scale("x")!.apply(current))).toBeLessThan(8);
  }
});

test("no words of best or now are struck through by their own line", () => {
  for (const best of [0, 0.01, 0.3, 0.99, 1]) {
    for (const current of [0, 0.02, 0.6, 1]) {
      const picture = draw(ratioChart(Plot, { ...ratio, best, current }, narrow));
      for (const [words, x] of [
        [/^best/, best],
        [/^now/, current],
      ] as const) {
        const text = picture.all("text").find((found) => words.test(found.textContent))!;
        const line = picture.scale("x")!.apply(x);
        const atLeft = text.parent!.attributes.get("text-anchor") === "end";
        expect(placeOf(text).x - line, `best ${best}, now ${current}`).toBe(atLeft ? -6 : 6);
        const end = placeOf(text).x + (atLeft ? -1 : 1) * textWidth(text.textContent, true);
        expect(end).toBeGreaterThanOrEqual(0);
        expect(end).toBeLessThanOrEqual(narrow.width);
      }
    }
  }
});

test("refuses lists of different length", () => {
  expect(() => ratioChart(Plot, { ...ratio, colours: ["red"] }, wide)).toThrow(
    /colours: 1 values for 21 ratios/,
  );
});
