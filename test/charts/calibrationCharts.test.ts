import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import { largestResidual, residualChart } from "../../src/charts/residualChart.ts";
import { settledChart } from "../../src/charts/settledChart.ts";

const wavelengths = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const wide = { width: 800, height: 240 };
const narrow = { width: 320, height: 240 };

/** Values of a channel of every mark of a kind, as given. */
const channels = (options: Plot.PlotOptions, kind: abstract new (...args: never[]) => object, name: string) =>
  (options.marks as unknown[]).flat().flatMap((mark) => {
    if (!(mark instanceof kind)) return [];
    const { channels } = mark as unknown as { channels: Record<string, { value: unknown }> };
    return [channels[name]?.value as unknown[]];
  });

describe("settledChart", () => {
  const holds = wavelengths.map((nm) => nm < 450 || nm === 600);

  test("one bar for each run, from edge to edge of its wavelengths", () => {
    const options = settledChart(Plot, { wavelengths, statements: [{ label: "K settled", holds }] }, wide);
    expect(channels(options, Plot.Rect, "x1")[0]).toEqual([375, 595]);
    expect(channels(options, Plot.Rect, "x2")[0]).toEqual([445, 605]);
  });

  test("a statement that holds nowhere has no bar, and one of another length is refused", () => {
    const never = { label: "nothing", holds: wavelengths.map(() => false) };
    const options = settledChart(Plot, { wavelengths, statements: [never] }, wide);
    expect(channels(options, Plot.Rect, "x1")[0]).toEqual([]);
    const short = { label: "short", holds: [true] };
    expect(() => settledChart(Plot, { wavelengths, statements: [short] }, wide)).toThrow(RangeError);
  });
});

describe("residualChart", () => {
  const rows = ["black", "white"].map((ground, sign) => ({
    label: `let-down 1:40 with titanium white, thick, ${ground}`,
    values: wavelengths.map((_, i) => (i === 3 ? (sign ? 0.02 : -0.01) : 0)),
  }));

  test("mid grey is no difference, the largest residual is white or black", () => {
    const fills = channels(residualChart(Plot, { wavelengths, rows }, wide), Plot.Rect, "fill")[0];
    expect(largestResidual(rows)).toBe(0.02);
    expect(fills[36 + 3]).toBe("rgb(255,255,255)");
    expect(fills[0]).toBe("rgb(128,128,128)");
    // identity: half the largest, the other way
    expect(fills[3]).toBe("rgb(65,65,65)");
  });

  test("noise does not look loud", () => {
    expect(largestResidual([{ label: "", values: [1e-4, -2e-4] }])).toBe(0.005);
  });

  test("a label that is too wide keeps its end, where the ground stands", () => {
    const options = residualChart(Plot, { wavelengths, rows }, narrow);
    const texts = channels(options, Plot.Text, "text").flat() as string[];
    expect(texts.filter((text) => /^….*, (black|white)$/.test(text))).toHaveLength(2);
  });
});

test("a band wider than the axis stays inside it", () => {
  const flat = (value: number) => wavelengths.map(() => value);
  const band = { low: flat(1e-9), high: flat(500) };
  const options = curvesChart(
    Plot,
    {
      x: wavelengths,
      xLabel: "",
      yLabel: "",
      logarithmic: true,
      curves: [{ label: "K", y: flat(0.5), band }],
    },
    wide,
  );
  const [low, high] = options.y!.domain as [number, number];
  expect(Math.max(...(channels(options, Plot.Area, "y2")[0] as number[]))).toBeLessThanOrEqual(high);
  expect(Math.min(...(channels(options, Plot.Area, "y1")[0] as number[]))).toBeGreaterThanOrEqual(low);
});
