import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { barsChart, barsHeight } from "../../src/charts/barsChart.ts";
import type { PlotOptions } from "../../src/charts/chartTypes.ts";
import { frontChart } from "../../src/charts/frontChart.ts";
import { ribbonChart } from "../../src/charts/ribbonChart.ts";
import { triangleChart } from "../../src/charts/triangleChart.ts";
import {
  type Corner,
  clipAt,
  levelLine,
  smallTriangles,
  triangleHeight,
  trianglePlace,
  triangleShares,
} from "../../src/charts/triangleGeometry.ts";
import { csvText, fileNameOf } from "../../src/controls/chartFile.ts";

const x = Array.from({ length: 21 }, (_, k) => k / 20);
const valley = x.map((at) => 0.3 + 8 * (at - 0.55) ** 2);
const ribbon = {
  curves: [
    { label: "as planned", x, y: valley },
    { label: "on average", x, y: valley.map((y) => y + 0.6) },
  ],
  areas: [
    { label: "9 of 10 cases", x, low: valley.map((y) => y * 0.7), high: valley.map((y) => y + 2) },
    { label: "between the theories", x, low: valley, high: valley.map((y) => y + 1), hatched: true },
  ],
  markers: [
    { label: "best 55 %", x: 0.55 },
    { label: "safest 98 %", x: 0.98 },
    { label: "now 20 %", x: 0.2, now: true },
  ],
  tolerance: 1,
  domain: [0, 1] as const,
  xKind: "share" as const,
  xLabel: "share of Warm cream, %",
  yLabel: "ΔE00",
};
const bars = {
  bars: [
    { label: "colour film build", share: 0.96, doubt: 0.01, total: 0.99 },
    { label: "doses", share: -0.002, doubt: 0.004, total: 0.01 },
  ],
  xLabel: "share of the spread, %",
};
const front = {
  points: [
    { x: 0.5, difference: 15, passes: false, label: "1 + 1 + 0" },
    { x: 0.8, difference: 1.4, passes: false, label: "1 + 1 + 1" },
    { x: 0.98, difference: 0.3, passes: true, label: "1 + 2 + 1" },
    { x: 1, difference: 0.29, passes: true, label: "2 + 1 + 1" },
  ],
  chosen: 2,
  current: { x: 1.6, difference: 1.3 },
  tolerance: 1,
  xLabel: "litres to mix",
  yLabel: "ΔE00",
};
const steps = 12;
const points = Array.from({ length: steps + 1 }, (_, third) =>
  Array.from({ length: steps - third + 1 }, (_, second) => ({
    second: second / steps,
    third: third / steps,
  })),
).flat();
const triangle = {
  steps,
  values: points.map(({ second, third }) => 0.2 + 6 * Math.hypot(second - 0.5, third - 0.2)),
  names: ["Cool light grey", "Warm cream", "White"] as [string, string, string],
  best: { second: 0.5, third: 0.2, text: "0.20" },
  current: { second: 0.1, third: 0 },
  level: 1,
};

const sizes = [
  { width: 340, height: 380 },
  { width: 1000, height: 420 },
];
const all: [string, (size: { width: number; height: number }) => PlotOptions][] = [
  ["ribbon", (size) => ribbonChart(Plot, ribbon, size)],
  ["bars", (size) => barsChart(Plot, bars, size)],
  ["front", (size) => frontChart(Plot, front, size)],
  ["triangle", (size) => triangleChart(Plot, triangle, size)],
];

interface Drawn {
  ariaLabel?: string;
  channels?: Record<string, { value: ArrayLike<unknown> }>;
}
const marksOf = (options: PlotOptions, name: string) =>
  (options.marks as unknown[]).flat().filter((mark) => (mark as Drawn)?.ariaLabel === name) as Drawn[];
const textsOf = (options: PlotOptions) =>
  marksOf(options, "text").flatMap(({ channels }) =>
    Array.from(channels!.text.value, (text, k) => ({
      text: String(text),
      x: Number(channels!.x?.value[k]),
      y: Number(channels!.y?.value[k]),
    })),
  );

describe.each(all)("%s chart", (_, draw) => {
  test.each(sizes)("$width px: its own size, text of 14 px or more, no axes of the library", (size) => {
    const options = draw(size);
    expect(options.width).toBe(size.width);
    expect(options.axis).toBeNull();
    expect(Number.parseFloat((options.style as { fontSize: string }).fontSize)).toBeGreaterThanOrEqual(14);
    for (const { x: at } of textsOf(options)) {
      if (!Number.isFinite(at)) continue;
      expect(at).toBeGreaterThanOrEqual(0);
      expect(at).toBeLessThanOrEqual(size.width);
    }
  });

  test("few marks, so that it is drawn within a frame", () => {
    expect((draw(sizes[1]).marks as unknown[]).flat().length).toBeLessThanOrEqual(18);
  });
});

describe("ribbonChart", () => {
  test("every curve, area and marker is named", () => {
    const texts = textsOf(ribbonChart(Plot, ribbon, sizes[1])).map(({ text }) => text);
    for (const { label } of [...ribbon.curves, ...ribbon.areas, ...ribbon.markers])
      expect(texts).toContain(label);
    expect(texts).toContain("tolerance 1");
  });

  test("a list of another length is refused by name", () => {
    const short = { ...ribbon, curves: [{ label: "as planned", x, y: [1, 2] }] };
    expect(() => ribbonChart(Plot, short, sizes[0])).toThrow(/“as planned”: 2 values for 21 places/);
  });

  test("coats are counted in whole numbers", () => {
    const coats = { ...ribbon, xKind: "count" as const, domain: [1, 10] as const, markers: [] };
    const ticks = marksOf(ribbonChart(Plot, coats, sizes[0]), "rule").flatMap(({ channels }) =>
      Array.from((channels!.x?.value as ArrayLike<number>) ?? []),
    );
    expect(ticks.length).toBeGreaterThan(3);
    for (const at of ticks) expect(Number.isInteger(at)).toBe(true);
  });
});

describe("barsChart", () => {
  test("bars as long as their shares; a share below nothing counts as nothing", () => {
    const options = barsChart(Plot, bars, sizes[1]);
    expect(options.height).toBe(barsHeight(2));
    const [totals, shares] = marksOf(options, "rect");
    const length = ({ channels }: Drawn, k: number) =>
      Number(channels!.x2.value[k]) - Number(channels!.x1.value[k]);
    // identity: lengths in proportion
    expect(length(shares, 0) / length(totals, 0)).toBeCloseTo(0.96 / 0.99, 9);
    expect(length(shares, 1)).toBe(2);
    const texts = textsOf(options).map(({ text }) => text);
    expect(texts).toContain("96.0 ± 1.0 %");
    expect(texts).toContain("0.0 ± 0.4 %");
  });

  test("no bars are refused", () =>
    expect(() => barsChart(Plot, { bars: [], xLabel: "" }, sizes[0])).toThrow(/none given/));
});

describe("frontChart", () => {
  test("what passes is full, what does not is hollow, and labels do not lie over one another", () => {
    for (const size of sizes) {
      const options = frontChart(Plot, front, size);
      const labels = textsOf(options).filter(({ text }) => / \+ /.test(text));
      expect(labels.length).toBeGreaterThanOrEqual(2);
      labels.forEach((one, i) => {
        for (const other of labels.slice(i + 1))
          expect(Math.abs(one.y - other.y) >= 15 || Math.abs(one.x - other.x) >= 60).toBe(true);
      });
      const [dots] = marksOf(options, "dot").filter(({ channels }) => channels?.fill);
      const fills = Array.from(dots.channels!.fill.value);
      expect(fills[0]).not.toBe(fills[2]);
      expect(fills[2]).toBe(fills[3]);
    }
  });

  test("no points are refused", () =>
    expect(() => frontChart(Plot, { ...front, points: [] }, sizes[0])).toThrow(/none given/));
});

describe("triangle", () => {
  test("a place and its blend go back and forth; outside counts as the nearest edge", () => {
    // identity: round trip
    for (const { second, third } of points) {
      const shares = triangleShares(trianglePlace(second, third));
      expect(shares.second).toBeCloseTo(second, 12);
      expect(shares.third).toBeCloseTo(third, 12);
      expect(shares.first).toBeCloseTo(1 - second - third, 12);
    }
    expect(triangleShares({ x: -2, y: -1 })).toEqual({ first: 1, second: 0, third: 0 });
    const outside = triangleShares({ x: 0.9, y: 0.8 });
    expect(outside.first).toBe(0);
    expect(outside.second + outside.third).toBeCloseTo(1, 12);
  });

  const corners: Corner[] = points.map(({ second, third }, k) => ({
    ...trianglePlace(second, third),
    v: triangle.values[k],
  }));
  const pieces = smallTriangles(steps).map((three) => three.map((k) => corners[k]));
  const area = (piece: readonly Corner[]) =>
    Math.abs(
      piece.reduce((sum, a, i) => {
        const b = piece[(i + 1) % piece.length];
        return sum + a.x * b.y - b.x * a.y;
      }, 0) / 2,
    );

  test("the small triangles fill the large one, and what a level cuts adds up again", () => {
    // identity: areas
    expect(pieces.length).toBe(steps * steps);
    const whole = triangleHeight / 2;
    expect(pieces.reduce((sum, piece) => sum + area(piece), 0)).toBeCloseTo(whole, 12);
    for (const level of [0.3, 1, 2.2, 9]) {
      const below = pieces.reduce((sum, piece) => sum + area(clipAt(piece, level, "below")), 0);
      const above = pieces.reduce((sum, piece) => sum + area(clipAt(piece, level, "above")), 0);
      expect(below + above).toBeCloseTo(whole, 12);
    }
  });

  test("the heavy line runs where a linear result has that level", () => {
    // identity: a plane is cut by a straight line
    const plane = pieces.map((piece) => piece.map((corner) => ({ ...corner, v: corner.x + 2 * corner.y })));
    let length = 0;
    for (const piece of plane) {
      const ends = levelLine(piece, 0.7);
      if (!ends) continue;
      for (const { x: px, y: py } of ends) expect(px + 2 * py).toBeCloseTo(0.7, 12);
      length += Math.hypot(ends[0].x - ends[1].x, ends[0].y - ends[1].y);
    }
    // from x = 0.7 on the lower edge to the left edge, where y = √3·x: x = 0.7/(1 + 2√3)
    const left = 0.7 / (1 + 2 * Math.sqrt(3));
    expect(length).toBeCloseTo(Math.hypot(0.7 - left, Math.sqrt(3) * left), 9);
  });

  test("one scale for both directions, the corner names at the corners", () => {
    for (const size of sizes) {
      const options = triangleChart(Plot, triangle, size);
      const unit = (axis: "x" | "y") => {
        const [d0, d1] = options[axis]!.domain as number[];
        const [r0, r1] = options[axis]!.range as number[];
        return Math.abs((r1 - r0) / (d1 - d0));
      };
      expect(unit("x")).toBeCloseTo(unit("y"), 6);
      const texts = textsOf(options).map(({ text }) => text);
      for (const name of triangle.names) expect(texts).toContain(name);
      expect(texts).toContain("heavy line: tolerance 1");
    }
  });

  test("values that do not fill it are refused", () =>
    expect(() => triangleChart(Plot, { ...triangle, values: [1, 2] }, sizes[0])).toThrow(
      /2 values for a triangle of 12 steps: 91 needed/,
    ));
});

describe("a chart's numbers as text", () => {
  test("quoted where needed, empty where there is nothing, lines ended as the standard says", () => {
    // source: RFC 4180 section 2
    expect(
      csvText({
        columns: ['share of "cream", %', "ΔE00"],
        rows: [
          [0.5, 1.25],
          ["a\nb", Number.NaN],
          [undefined, -1e-7],
        ],
      }),
    ).toBe('"share of ""cream"", %",ΔE00\r\n0.5,1.25\r\n"a\nb",\r\n,-1e-7\r\n');
  });

  test("a file name holds plain letters only", () => {
    expect(fileNameOf("ΔE00 of the worst part: 50 % / café")).toBe("delta-e00-of-the-worst-part-50-cafe");
    expect(fileNameOf("../..")).toBe("chart");
    expect(fileNameOf("x".repeat(200)).length).toBe(60);
  });
});
