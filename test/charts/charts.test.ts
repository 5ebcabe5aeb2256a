import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { budgetChart } from "../../src/charts/budgetChart.ts";
import type { PlotOptions } from "../../src/charts/chartTypes.ts";
import { coatsChart } from "../../src/charts/coatsChart.ts";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import { ratioChart } from "../../src/charts/ratioChart.ts";
import { reflectanceChart } from "../../src/charts/reflectanceChart.ts";

const wide = { width: 900, height: 320 };
const narrow = { width: 360, height: 320 };
const wavelengths = Float64Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const step = (top: number) => Float64Array.from(wavelengths, (w) => (w > 600 ? top : 0.04));

const reflectance = {
  wavelengths,
  curves: [
    { label: "target", values: step(0.7), colour: "#c8102e", role: "target" as const, emphasis: true },
    { label: "ground, black", values: step(0.05), colour: "#111111", role: "ground" as const },
    { label: "ground, grey", values: step(0.3), colour: "#8a8a8a", role: "ground" as const },
    { label: "on the bolsters", values: step(0.5), colour: "#8d1526", role: "film" as const },
    { label: "on the seats", values: step(0.66), colour: "#b5182c", role: "film" as const },
    { label: "opaque", values: step(0.72), colour: "#cc1030", role: "opaque" as const },
  ],
};
const ratios = Array.from({ length: 21 }, (_, i) => i / 20);
const ratio = {
  ratios,
  deltaE: ratios.map((r) => 0.6 + 20 * (r - 0.6) ** 2),
  colours: ratios.map((r) => `rgb(${Math.round(150 + 50 * r)} 20 40)`),
  best: 0.6,
  flat: [0.5, 0.7] as const,
  current: 0.35,
  tolerance: 1,
  xLabel: "Warm cream, %",
  yLabel: "Colour difference ΔE00",
};
const coats = {
  series: [
    { label: "seats", deltaE: [9, 3, 1.4, 0.8] },
    { label: "bolsters", deltaE: [44, 20, 9, 5.2, 3.1] },
  ],
  tolerance: 1,
  planned: 3,
};
const third = new Float64Array(36).fill(1 / 3);
const budget = {
  wavelengths,
  bands: [
    { label: "comes back", share: third, colour: "#c8102e" },
    { label: "absorbed in the coat", share: third, colour: "#701020" },
    { label: "lost in the substrate", share: third, colour: "#141414" },
  ],
};
const curves = {
  x: wavelengths,
  xLabel: "Wavelength, nm",
  yLabel: "1/µm",
  logarithmic: true,
  curves: [
    { label: "K", y: wavelengths.map((w) => (w < 600 ? 0.4 : 0.002)) },
    { label: "S", y: wavelengths.map(() => 0.05) },
  ],
};

const all: [string, (size: { width: number; height: number }) => PlotOptions][] = [
  ["reflectance", (size) => reflectanceChart(Plot, reflectance, size)],
  ["ratio", (size) => ratioChart(Plot, ratio, size)],
  ["coats", (size) => coatsChart(Plot, coats, size)],
  ["budget", (size) => budgetChart(Plot, budget, size)],
  ["curves", (size) => curvesChart(Plot, curves, size)],
];

const domainOf = (options: PlotOptions, axis: "x" | "y") => options[axis]!.domain as number[];
const marksOf = (options: PlotOptions, kind: unknown) =>
  (options.marks as unknown[]).filter((mark) => mark instanceof (kind as new () => object)) as {
    data: { length: number };
    channels: Record<string, { value: ArrayLike<unknown> }>;
  }[];

describe.each(all)("%s chart", (_, draw) => {
  // A mark costs about 0.1 ms; four charts must fit into one frame of 16 ms beside everything else.
  test.each([wide, narrow])("at most 15 marks at $width px, none with a pointer tip", (size) => {
    const { marks } = draw(size);
    expect(marks!.length).toBeLessThanOrEqual(15);
    expect((marks as { tip?: unknown }[]).some((mark) => mark.tip)).toBe(false);
  });

  test("fixed scales without the library's own axes", () => {
    const options = draw(wide);
    expect(options.axis).toBeNull();
    for (const axis of ["x", "y"] as const) {
      expect(options[axis]!.range).toHaveLength(2);
      expect(domainOf(options, axis)[0]).toBeLessThan(domainOf(options, axis)[1]);
    }
  });

  test("text is at least 14 px and the width is kept", () => {
    const options = draw(narrow);
    expect(Number.parseFloat((options.style as { fontSize: string }).fontSize)).toBeGreaterThanOrEqual(14);
    expect(options.width).toBe(narrow.width);
  });
});

describe("reflectanceChart", () => {
  test("per cent from 0 to 100, wavelengths from first to last", () => {
    const options = reflectanceChart(Plot, reflectance, wide);
    expect(domainOf(options, "x")).toEqual([380, 730]);
    expect(domainOf(options, "y")).toEqual([0, 1]);
  });

  test("a reading above 100 % stretches the axis instead of leaving it", () => {
    const bright = { ...reflectance.curves[0], values: step(1.13) };
    const options = reflectanceChart(Plot, { wavelengths, curves: [bright] }, wide);
    expect(domainOf(options, "y")[1]).toBeCloseTo(1.2, 12);
  });

  test("all curves in one mark, each with its colour, over one mark of edges", () => {
    const options = reflectanceChart(Plot, reflectance, wide);
    const lines = marksOf(options, Plot.Line).filter((mark) => mark.data.length === 6 * 36);
    expect(lines).toHaveLength(2);
    expect(new Set(Array.from(lines[1].channels.stroke.value))).toEqual(
      new Set(reflectance.curves.map((curve) => curve.colour)),
    );
  });

  test("refuses a curve of another length, naming it", () => {
    const curve = { ...reflectance.curves[0], values: [0.1, 0.2] };
    expect(() => reflectanceChart(Plot, { wavelengths, curves: [curve] }, wide)).toThrow(
      /“target”: 2 values for 36 wavelengths/,
    );
  });
});

describe("ratioChart", () => {
  test("the strip has one rectangle for each ratio, edge to edge, in the colours given", () => {
    const options = ratioChart(Plot, ratio, wide);
    const strip = marksOf(options, Plot.Rect)[0];
    const column = (name: string) =>
      Array.from(strip.channels[name].value as ArrayLike<number>).slice(-ratios.length);
    expect(Array.from(strip.channels.fill.value).slice(-ratios.length)).toEqual(ratio.colours);
    expect(column("x1").slice(1)).toEqual(column("x2").slice(0, -1));
    const [left, right] = options.x!.range as number[];
    expect([column("x1")[0], column("x2").at(-1)]).toEqual([left, right]);
    // Under the axis of differences, over the texts of the ratios.
    expect(column("y1")[0]).toBeGreaterThan((options.y!.range as number[])[0]);
    expect(column("y2")[0]).toBeLessThan(options.height! - 40);
  });

  test("the difference axis is widened near zero and holds every curve and the tolerance", () => {
    const options = ratioChart(
      Plot,
      { ...ratio, curves: [{ label: "varied", deltaE: ratios.map(() => 11) }] },
      wide,
    );
    expect(options.y!.type).toBe("sqrt");
    expect(domainOf(options, "y")[0]).toBe(0);
    expect(domainOf(options, "y")[1]).toBeGreaterThanOrEqual(11);
    expect(domainOf(ratioChart(Plot, { ...ratio, tolerance: 30 }, wide), "y")[1]).toBeGreaterThanOrEqual(30);
  });

  test("refuses lists of different length", () => {
    expect(() => ratioChart(Plot, { ...ratio, colours: ["red"] }, wide)).toThrow(
      /colours: 1 values for 21 ratios/,
    );
  });
});

describe("coatsChart", () => {
  test("counts from no coat to the longest series or the plan", () => {
    expect(domainOf(coatsChart(Plot, coats, wide), "x")).toEqual([0, 4]);
    expect(domainOf(coatsChart(Plot, { ...coats, planned: 7 }, wide), "x")).toEqual([0, 7]);
  });

  test("refuses a series without values and a plan that is no number", () => {
    expect(() => coatsChart(Plot, { ...coats, series: [{ label: "seats", deltaE: [] }] }, wide)).toThrow(
      /“seats”/,
    );
    expect(() => coatsChart(Plot, { ...coats, planned: Number.NaN }, wide)).toThrow(RangeError);
  });
});

describe("budgetChart", () => {
  test("bands stand on each other and reach the sum of their shares", () => {
    const area = marksOf(budgetChart(Plot, budget, wide), Plot.Area)[0];
    const y1 = area.channels.y1.value as Float64Array;
    const y2 = area.channels.y2.value as Float64Array;
    for (let i = 0; i < 36; i++) {
      expect(y1[i]).toBe(0);
      expect(y1[36 + i]).toBe(y2[i]);
      expect(y2[72 + i]).toBeCloseTo(1, 12); // identity: the shares add up to 1
    }
  });

  test("bands that share a colour differ in hatching", () => {
    const same = budget.bands.map((band) => ({ ...band, colour: "#888888" }));
    const hatching = marksOf(budgetChart(Plot, { wavelengths, bands: same }, wide), Plot.Area)[1];
    expect(new Set(Array.from(hatching.channels.fill.value)).size).toBe(3);
  });

  test("refuses a band of another length", () => {
    const bands = [{ label: "coat", share: [1], colour: "red" }];
    expect(() => budgetChart(Plot, { wavelengths, bands }, wide)).toThrow(
      /“coat”: 1 values for 36 wavelengths/,
    );
  });
});

describe("curvesChart", () => {
  test("a logarithmic axis covers whole powers of ten, five at most", () => {
    expect(domainOf(curvesChart(Plot, curves, wide), "y")).toEqual([0.001, 1]);
    const deep = {
      ...curves,
      curves: [{ label: "K", y: wavelengths.map((_, i) => (i === 0 ? 1e-12 : 0.5)) }],
    };
    const [low, high] = domainOf(curvesChart(Plot, deep, wide), "y");
    expect(high / low).toBeCloseTo(1e5, 3);
  });

  test("zero leaves a gap on a logarithmic axis and no text such as NaN", () => {
    const none = { ...curves, curves: [{ label: "S", y: wavelengths.map(() => 0) }] };
    expect(() => curvesChart(Plot, none, wide)).not.toThrow();
    expect(domainOf(curvesChart(Plot, none, wide), "y").every(Number.isFinite)).toBe(true);
  });

  test("a linear axis always shows zero", () => {
    const linear = { ...curves, logarithmic: false, curves: [{ label: "S", y: wavelengths.map(() => 5.2) }] };
    const [low, high] = domainOf(curvesChart(Plot, linear, wide), "y");
    expect(low).toBe(0);
    expect(high).toBeGreaterThanOrEqual(5.2);
  });
});
