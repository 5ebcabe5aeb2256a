import * as Plot from "@observablehq/plot";
import { describe, expect, test } from "vitest";
import { ledgerChart, ledgerHeight, ledgerParts } from "../../cells/batch/view/ledgerChart.ts";
import { dayChart, dayHeight } from "../../cells/day-plan/view/dayChart.ts";
import { recordChart } from "../../cells/job-record/view/recordChart.ts";
import { reasonsChart, reasonsHeight } from "../../cells/quote/view/reasonsChart.ts";
import { planWork } from "../../src/job/workPlan.ts";

/** Marks of a Plot chart with the channels they were given, which is all that drawing adds to. */
type Options = ReturnType<typeof ledgerChart>;
const texts = (options: Options): string[] =>
  (options.marks as unknown as { ariaLabel?: string; channels?: Record<string, { value: unknown }> }[])
    .filter((mark) => mark?.ariaLabel === "text")
    .flatMap((mark) => (mark.channels?.text?.value as string[] | undefined) ?? []);
/** Boxes in px: left, right, top, bottom. */
const boxes = (options: Options) =>
  (options.marks as unknown as { ariaLabel?: string; channels?: Record<string, { value: number[] }> }[])
    .filter((mark) => mark?.ariaLabel === "rect")
    .flatMap(({ channels }) =>
      channels!.x1.value.map((x1, i) => ({
        x1,
        x2: channels!.x2.value[i],
        y1: channels!.y1.value[i],
        y2: channels!.y2.value[i],
      })),
    );

const sizes = [340, 700, 1040];

describe("where the mix goes", () => {
  const rows = [
    { label: "basecoat", total: "690 mL", amounts: [374.5, 201.7, 4.6, 40, 69.2] },
    { label: "colour", total: "1.20 L", amounts: [674.1, 363, 8.3, 40, 114.6] },
  ];

  test.each(sizes)("bars as long as their amounts, inside a chart %d px wide", (width) => {
    const height = ledgerHeight(rows.length, width);
    const options = ledgerChart(Plot, { rows, unit: "mL" }, { width, height });
    expect(options.height).toBe(height);
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
      expect(texts(options)).toContain(words);
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
    const size = { width, height: dayHeight(2, width) };
    const options = dayChart(Plot, data(480), size);
    const drawn = boxes(options);
    for (const box of drawn) {
      expect(box.x2).toBeGreaterThan(box.x1);
      expect(box.x1).toBeGreaterThanOrEqual(0);
      expect(box.x2).toBeLessThanOrEqual(width);
      expect(box.y2).toBeLessThanOrEqual(options.height!);
    }
    expect(texts(options)).toContain("08:00");
    for (const words of ["At the bench", "Seats", "Bolsters"]) expect(texts(options)).toContain(words);
  });

  test("days stand side by side, parted by a line", () => {
    const split = data(60);
    const days = Math.ceil(split.workEnds / 1440);
    expect(days).toBeGreaterThan(1);
    const options = dayChart(Plot, split, { width: 700, height: 300 });
    const lines = (
      options.marks as unknown as { strokeWidth?: number; channels?: Record<string, { value: number[] }> }[]
    ).find((mark) => mark?.strokeWidth === 3)!;
    // identity: a line where each day but the last ends, 60 working minutes apart
    expect([...lines.channels!.x.value]).toEqual(Array.from({ length: days - 1 }, (_, i) => 60 * (i + 1)));
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
    const options = reasonsChart(Plot, data, { width, height: reasonsHeight(3) });
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
      for (const words of [label, text]) expect(texts(options)).toContain(words);
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
    const dots = (
      options.marks as unknown as { ariaLabel?: string; channels: Record<string, { value: number[] }> }[]
    ).find((mark) => mark?.ariaLabel === "dot")!;
    expect([...dots.channels.y.value]).toEqual([0.4, 1.6, 0.7]);
    expect(texts(options)).toContain("passes 1");
    expect(() => recordChart(Plot, { points: [], tolerance: 1 }, { width: 500, height: 260 })).toThrow(
      /points/,
    );
  });
});
