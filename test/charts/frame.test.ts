import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import {
  chartOptions,
  differenceAxis,
  differenceTop,
  frameOf,
  leastPlotHeight,
} from "../../src/charts/frame.ts";
import { draw } from "./drawn.ts";

describe("frameOf", () => {
  const margins = { top: 160, right: 10, bottom: 50, left: 40 };

  test("wide margins make the picture taller, never the plot area flat", () => {
    const frame = frameOf({ width: 390, height: 200 }, margins);
    expect(frame.height).toBe(leastPlotHeight);
    expect(frame.size.height).toBe(160 + leastPlotHeight + 50);
  });

  test("otherwise the size asked for is kept", () => {
    const frame = frameOf({ width: 800, height: 400 }, { ...margins, top: 40 });
    expect(frame.size).toEqual({ width: 800, height: 400 });
    expect([frame.width, frame.height]).toEqual([750, 310]);
  });
});

describe("axes", () => {
  const ticksOf = (width: number, axis: "x" | "y") =>
    draw(
      chartOptions(Plot, frameOf({ width, height: 320 }), {
        x: { domain: [380, 730], label: "Wavelength, nm" },
        y: { domain: [0, 1], label: "Share" },
        marks: [],
      }),
    )
      .marks(`${axis}-axis tick label`)[0]
      .all("text")
      .map((text) => text.textContent);

  test("wavelengths on round hundreds, on fifties where there is room", () => {
    expect(ticksOf(360, "x")).toEqual(["400", "500", "600", "700"]);
    expect(ticksOf(660, "x")).toEqual(["400", "450", "500", "550", "600", "650", "700"]);
  });

  test("the name of each axis stands in the picture", () => {
    const picture = draw(
      chartOptions(Plot, frameOf({ width: 400, height: 320 }), {
        x: { domain: [0, 1], label: "Coats" },
        y: { domain: [0, 1], label: "ΔE00" },
        marks: [],
      }),
    );
    const words = picture.all("text").map((text) => text.textContent);
    expect(words).toContain("Coats");
    expect(words).toContain("ΔE00");
  });
});

describe("differenceAxis", () => {
  test.each([0, 0.2, 1, 2.9, 7, 33, 101, 450])("its top is above %d and moves in steps", (value) => {
    const top = differenceTop(value);
    expect(top).toBeGreaterThanOrEqual(Math.max(3, value));
    expect(differenceTop(value * 1.0001)).toBe(top);
  });

  test.each([3, 8, 20, 60, 200])("up to %d: ticks from 0, none above, far enough apart to be read", (top) => {
    const height = 200;
    const ticks = differenceAxis("ΔE00", top, height).ticks as number[];
    expect(ticks[0]).toBe(0);
    expect(ticks.at(-1)!).toBeLessThanOrEqual(top);
    const places = ticks.map((at) =>
      Plot.scale({ y: { type: "sqrt", domain: [0, top], range: [height, 0] } }).apply(at),
    );
    for (let i = 1; i < places.length; i++) expect(places[i - 1] - places[i]).toBeGreaterThanOrEqual(16);
  });
});
