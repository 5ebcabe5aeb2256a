import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { ledgerChart, ledgerParts } from "../../cells/batch/view/ledgerChart.ts";
import { dayChart } from "../../cells/day-plan/view/dayChart.ts";
import { recordChart } from "../../cells/job-record/view/recordChart.ts";
import { reasonsChart } from "../../cells/quote/view/reasonsChart.ts";
import type { ChartOptions } from "../../src/charts/chartTypes.ts";
import { rowsHeight } from "../../src/charts/rowBars.ts";
import { planWork } from "../../src/job/workPlan.ts";
import { draw, wordsOf } from "../charts/drawn.ts";
import { expectChart } from "../charts/picture.ts";

/** Boxes in px: left, right, top, bottom. */
const boxes = (options: ChartOptions) =>
  draw(options)
    .marks("rect")
    .flatMap((group) => group.all("rect"))
    .map((rect) => ({
      x1: rect.at("x"),
      x2: rect.at("x") + rect.at("width"),
      y1: rect.at("y"),
      y2: rect.at("y") + rect.at("height"),
    }));

const sizes = [340, 700, 1040];

describe("where the mix goes", () => {
  const rows = [
    { label: "basecoat", total: "690 mL", amounts: [374.5, 201.7, 4.6, 40, 69.2] },
    { label: "colour", total: "1.20 L", amounts: [674.1, 363, 8.3, 40, 114.6] },
  ];

  test.each(sizes)("bars as long as their amounts, inside a chart %d px wide", (width) => {
    const height = rowsHeight(rows.length);
    const options = ledgerChart(Plot, { rows, unit: "mL" }, { width, height });
    expect(options.height).toBe(height);
    if (width === 340) expectChart("ledgerChart", options);
    const bars = boxes(options).slice(0, 10);
    const scale = (bars[9].x2 - bars[5].x1) / 1200;
    // identity: lengths in proportion to amounts
    rows
      .flatMap(({ amounts }) => amounts)
      .forEach((amount, i) => {
        expect(bars[i].x2 - bars[i].x1).toBeCloseTo(amount * scale, 6);
      });
    for (const box of boxes(options)) {
      expect(box.x1).toBeGreaterThanOrEqual(0);
      expect(box.x2).toBeLessThanOrEqual(width);
      expect(box.y2).toBeLessThanOrEqual(height);
    }
    for (const words of ["basecoat", "690 mL", "1.20 L", ...ledgerParts.map((part) => part.label)])
      expect(wordsOf(options)).toContain(words);
  });
});

describe("the day", () => {
  const layer = (name: string) => ({
    layer: name,
    setUp: 15,
    cleanUp: 10,
    coats: [1, 2].map((n) => ({ label: `${name} ${n}`, minutes: [20, 8], flashOff: 15 })),
  });
  const layers = [layer("basecoat"), layer("colour")];
  const data = (length: number) => {
    const plan = planWork(layers, 2, 720, { length });
    return {
      groups: ["Seats", "Bolsters"],
      bars: plan.bars,
      dayLength: length,
      startOfDay: 480,
      workEnds: plan.workEnds,
      colours: new Map([["colour", "#a02020"]]),
    };
  };

  test.each(sizes)("every coat has its bar inside a chart %d px wide", (width) => {
    const size = { width, height: rowsHeight(3) };
    const options = dayChart(Plot, data(480), size);
    if (width === 700) expectChart("dayChart", options);
    const drawn = boxes(options);
    for (const box of drawn) {
      expect(box.x2).toBeGreaterThan(box.x1);
      expect(box.x1).toBeGreaterThanOrEqual(0);
      expect(box.x2).toBeLessThanOrEqual(width);
      expect(box.y2).toBeLessThanOrEqual(options.height!);
    }
    expect(wordsOf(options)).toContain("08:00");
    for (const words of ["At the bench", "Seats", "Bolsters"]) expect(wordsOf(options)).toContain(words);
  });

  test("days stand side by side, parted by a line", () => {
    const split = data(60);
    const days = Math.ceil(split.workEnds / 1440);
    expect(days).toBeGreaterThan(1);
    const options = dayChart(Plot, split, { width: 700, height: 300 });
    const picture = draw(options);
    const lines = picture.marks("rule").find((group) => group.attributes.get("stroke-width") === "3")!;
    const ends = lines.all("line").map((line) => picture.scale("x")!.invert!(line.at("x1")));
    // identity: a line where each day but the last ends, 60 working minutes apart
    expect(ends.map(Math.round)).toEqual(Array.from({ length: days - 1 }, (_, i) => 60 * (i + 1)));
  });
});

describe("why one colour costs more", () => {
  const data = {
    start: { label: "in grey", amount: 500, text: "€500" },
    steps: [
      { label: "ground", amount: 120, text: "+ €120" },
      { label: "cheaper cups", amount: -20, text: "−€20" },
      { label: "finding it", amount: 400, text: "+ €400" },
    ],
    end: { label: "this colour", amount: 1000, text: "€1000" },
  };

  test.each(sizes)("each reason begins where the one before ends, %d px wide", (width) => {
    const options = reasonsChart(Plot, data, { width, height: rowsHeight(5, 8) });
    if (width === 340) expectChart("reasonsChart", options);
    const bars = boxes(options).slice(0, 5);
    const scale = (bars[4].x2 - bars[4].x1) / 1000;
    const at = (amount: number) => bars[0].x1 + amount * scale;
    // identity: 500, 500…620, 620…600, 600…1000, 1000; at least 2 px wide
    [
      [0, 500],
      [500, 620],
      [600, 620],
      [600, 1000],
      [0, 1000],
    ].forEach(([from, to], i) => {
      expect(bars[i].x1).toBeCloseTo(at(from), 6);
      expect(bars[i].x2).toBeCloseTo(Math.max(at(to), at(from) + 2), 6);
    });
    for (const { label, text } of [data.start, ...data.steps, data.end])
      for (const words of [label, text]) expect(wordsOf(options)).toContain(words);
  });
});

describe("the model against reality", () => {
  test("one dot for each reading", () => {
    const points = [
      { miss: 0.4, typical: 0.4 },
      { miss: 1.6, typical: 1 },
      { miss: 0.7, typical: 0.7 },
    ];
    const options = recordChart(Plot, { points, tolerance: 1 }, { width: 500, height: 260 });
    const picture = draw(options);
    const { invert } = picture.scale("y")!;
    const dots = picture.marks("dot")[0].all("circle");
    expect(dots.map((dot) => Number(invert!(dot.at("cy")).toFixed(6)))).toEqual([0.4, 1.6, 0.7]);
    expectChart("recordChart", options);
    expect(wordsOf(options)).toContain("passes 1");
    expect(() => recordChart(Plot, { points: [], tolerance: 1 }, { width: 500, height: 260 })).toThrow(
      /points/,
    );
  });
});
