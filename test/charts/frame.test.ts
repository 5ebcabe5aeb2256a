import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { frameOf, leastPlotHeight, toPixel } from "../../src/charts/frame.ts";
import {
  decadeTicks,
  differenceTicks,
  differenceTop,
  percentTicks,
  roundTicks,
  wavelengthTicks,
} from "../../src/charts/ticks.ts";

describe("toPixel", () => {
  test.each([
    ["linear", [380, 730], [0.5, 400, 555.5, 760]],
    ["sqrt", [0, 40], [0, 0.3, 1, 17, 40]],
    ["log", [0.001, 10], [0.001, 0.02, 1, 10]],
  ] as const)("%s: the same place as the chart library's own scale", (type, domain, values) => {
    const axis = { type, domain, range: [300, 20] as const };
    const scale = Plot.scale({ y: { type, domain: [...domain], range: [300, 20] } });
    for (const value of values) expect(toPixel(axis, value)).toBeCloseTo(scale.apply(value), 9);
  });
});

describe("frameOf", () => {
  const x = { domain: [0, 1] as const };
  test("a key of many rows makes the picture taller, never the plot area flat", () => {
    const frame = frameOf({ width: 390, height: 200 }, { top: 160, right: 10, bottom: 50, left: 40 }, x, x);
    expect(frame.bottom - frame.top).toBe(leastPlotHeight);
    expect(frame.size.height).toBe(160 + leastPlotHeight + 50);
  });

  test("otherwise the size asked for is kept", () => {
    const frame = frameOf({ width: 800, height: 400 }, { top: 40, right: 10, bottom: 50, left: 40 }, x, x);
    expect(frame.size).toEqual({ width: 800, height: 400 });
    expect([frame.left, frame.right, frame.top, frame.bottom]).toEqual([40, 790, 40, 350]);
  });
});

describe("ticks", () => {
  const places = (ticks: { at: number }[]) => ticks.map((tick) => tick.at);

  test("wavelengths on round hundreds, on fifties where there is room", () => {
    expect(places(wavelengthTicks(380, 730, 300))).toEqual([400, 500, 600, 700]);
    expect(places(wavelengthTicks(380, 730, 600))).toEqual([400, 450, 500, 550, 600, 650, 700]);
  });

  test("per cent are whole and run up to the top", () => {
    expect(percentTicks(1, 200).map((tick) => tick.text)).toEqual(["0", "20", "40", "60", "80", "100"]);
    expect(percentTicks(1.2, 300).at(-1)!.at).toBeCloseTo(1.2, 12);
  });

  test.each([0, 0.2, 1, 2.9, 7, 33, 101, 450])(
    "the top of a difference axis is above %d and moves in steps",
    (value) => {
      const top = differenceTop(value);
      expect(top).toBeGreaterThanOrEqual(Math.max(3, value));
      expect(differenceTop(value * 1.0001)).toBe(top);
      expect(differenceTicks(top)[0].at).toBe(0);
      expect(differenceTicks(top).at(-1)!.at).toBeLessThanOrEqual(top);
    },
  );

  test("round ticks and powers of ten", () => {
    expect(roundTicks(-0.005, 0.02, 5).map((tick) => tick.text)).toEqual([
      "−0.005",
      "0.000",
      "0.005",
      "0.010",
      "0.015",
      "0.020",
    ]);
    expect(decadeTicks(0.001, 10).map((tick) => tick.text)).toEqual(["0.001", "0.01", "0.1", "1", "10"]);
  });
});
