import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type Bar,
  clockText,
  coatMinutes,
  coveringRate,
  type LayerStep,
  planWork,
  readClock,
  withoutNights,
} from "../../src/job/workPlan.ts";
import { cases } from "../howMuch.ts";

const seed = 480;

describe("how fast a gun covers", () => {
  test("a fan of 20 cm, half overlapped, at a third of a metre each second", () => {
    // identity: geometry: 0.1 m of fresh width × 0.35 m/s × 60 s
    expect(coveringRate({ fanWidth: 0.2, gunSpeed: 0.35, overlap: 0.5 })).toBeCloseTo(2.1, 12);
    expect(coveringRate({ fanWidth: 0.2, gunSpeed: 0.35, overlap: 0 })).toBeCloseTo(4.2, 12);
  });

  test("minutes for a coat", () => {
    expect(coatMinutes(4.2, 9, 2.1, 0.5)).toBeCloseTo(2 + 4.5, 12); // identity
  });

  test("what cannot be is refused", () => {
    expect(() => coveringRate({ fanWidth: 0, gunSpeed: 0.3, overlap: 0.5 })).toThrow(/fan width.*m/);
    expect(() => coveringRate({ fanWidth: 0.2, gunSpeed: -1, overlap: 0.5 })).toThrow(/gun speed.*m\/s/);
    expect(() => coveringRate({ fanWidth: 0.2, gunSpeed: 0.3, overlap: 1 })).toThrow(/overlap/);
    expect(() => coatMinutes(-1, 1, 1, 1)).toThrow(/area/);
    expect(() => coatMinutes(1, 1, 0, 1)).toThrow(/rate/);
  });
});

const day = { length: 480 };
const coat = (minutes: number[], flashOff: number) => ({ label: "coat", minutes, flashOff });

describe("laying out the work", () => {
  test("two parts are sprayed in turn while the other flashes off", () => {
    // source: worked by hand: mix 0–5; A 5–15, B 15–25, A again 25–35 (ready at 25), B 35–45; clean 45–50
    const layer: LayerStep = {
      layer: "colour",
      setUp: 5,
      cleanUp: 5,
      coats: [coat([10, 10], 10), coat([10, 10], 10)],
    };
    const plan = planWork([layer], 2, 60, day);
    const coats = plan.bars.filter(({ kind }) => kind === "coat");
    expect(coats.map(({ group, start, end }) => [group, start, end])).toEqual([
      [0, 5, 15],
      [1, 15, 25],
      [0, 25, 35],
      [1, 35, 45],
    ]);
    expect(plan.workEnds).toBe(50);
    expect(plan.handsOn).toBe(50);
    expect(plan.waiting).toBe(0);
    expect(plan.cured).toBe(45 + 10 + 60);
  });

  test("a part that gets fewer coats is done while the other goes on", () => {
    // source: worked by hand: A 0–10, B 10–20, A 20–30 and 40–50, each after 10 min of flash-off
    const coats = [coat([10, 10], 10), coat([10, 0], 10), coat([10, 0], 10)];
    const layer: LayerStep = { layer: "colour", setUp: 0, cleanUp: 0, coats, counts: [3, 1] };
    const plan = planWork([layer], 2, 0, day);
    expect(
      plan.bars.filter(({ kind }) => kind === "coat").map(({ group, start, end }) => [group, start, end]),
    ).toEqual([
      [0, 0, 10],
      [1, 10, 20],
      [0, 20, 30],
      [0, 40, 50],
    ]);
    expect([plan.workEnds, plan.handsOn, plan.waiting]).toEqual([50, 40, 10]);
    expect(() => planWork([{ ...layer, counts: [3] }], 2, 0, day)).toThrow(/coats of 1 groups/);
    expect(() => planWork([{ ...layer, counts: [4, 1] }], 2, 0, day)).toThrow(/at most 3/);
  });

  test("one part alone has to wait for its flash-off", () => {
    const layer: LayerStep = {
      layer: "colour",
      setUp: 0,
      cleanUp: 0,
      coats: [coat([10], 15), coat([10], 15)],
    };
    const plan = planWork([layer], 1, 0, day);
    expect([plan.workEnds, plan.handsOn, plan.waiting]).toEqual([35, 20, 15]); // identity: 10 + 15 + 10
  });

  test("work stops in the evening and goes on in the morning; flashing off does not stop", () => {
    const layer: LayerStep = {
      layer: "colour",
      setUp: 0,
      cleanUp: 0,
      coats: [coat([300], 60), coat([300], 0)],
    };
    const plan = planWork([layer], 1, 0, day);
    const coats = plan.bars.filter(({ kind }) => kind === "coat");
    // source: worked by hand: 0–300, flash-off till 360, 360–480 on the first day, 180 min left on the second
    expect(coats.map(({ start, end }) => [start, end])).toEqual([
      [0, 300],
      [360, 1440 + 180],
    ]);
    expect(plan.days).toBe(2);
    expect(plan.waiting).toBe(60);
    expect(withoutNights(plan.workEnds, 480)).toBe(660);
  });

  test("no layers, no work", () => {
    const plan = planWork([], 3, 720, day);
    expect([plan.workEnds, plan.handsOn, plan.cured, plan.days]).toEqual([0, 0, 0, 0]); // identity
  });

  const anyWork = fc
    .record({
      groups: fc.integer({ min: 1, max: 5 }),
      layers: fc.array(
        fc.record({
          setUp: fc.integer({ min: 0, max: 30 }),
          cleanUp: fc.integer({ min: 0, max: 20 }),
          coats: fc.array(
            fc.record({
              minutes: fc.array(fc.integer({ min: 0, max: 90 }), { minLength: 5, maxLength: 5 }),
              flashOff: fc.integer({ min: 0, max: 60 }),
            }),
            { maxLength: 4 },
          ),
        }),
        { maxLength: 4 },
      ),
      cure: fc.integer({ min: 0, max: 600 }),
      length: fc.integer({ min: 30, max: 1440 }),
    })
    .map(({ groups, layers, cure, length }) => ({
      groups,
      cure,
      length,
      layers: layers.map(
        (layer, l): LayerStep => ({
          ...layer,
          layer: `layer ${l}`,
          coats: layer.coats.map(({ minutes, flashOff }, c) => ({
            label: `coat ${c}`,
            minutes: minutes.slice(0, groups),
            flashOff,
          })),
        }),
      ),
    }));
  const hands = (bar: Bar) => bar.kind === "coat" || bar.kind === "bench";

  test("one pair of hands, parts in order, no coat before the last has flashed off", () => {
    // identity: what makes a plan feasible
    fc.assert(
      fc.property(anyWork, ({ groups, layers, cure, length }) => {
        const plan = planWork(layers, groups, cure, { length });
        const work = plan.bars.filter(hands);
        for (let i = 1; i < work.length; i++) expect(work[i].start).toBeGreaterThanOrEqual(work[i - 1].end);
        for (let group = 0; group < groups; group++) {
          const own = plan.bars.filter((bar) => bar.group === group);
          for (let i = 1; i < own.length; i++)
            expect(own[i].start).toBeGreaterThanOrEqual(own[i - 1].end - 1e-9);
        }
        for (const { start } of work) expect(start % 1440).toBeLessThan(length);
      }),
      { seed, numRuns: cases(400) },
    );
  });

  test("hands and waiting fill the working time, and taking turns is never slower than part after part", () => {
    fc.assert(
      fc.property(anyWork, ({ groups, layers, cure }) => {
        const length = 1440; // no nights, so that times can be added up
        const plan = planWork(layers, groups, cure, { length });
        // identity: working time = hands + waiting
        expect(plan.handsOn + plan.waiting).toBeCloseTo(plan.workEnds, 6);
        const laid = layers.filter(({ coats }) => coats.length > 0);
        const sum = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);
        const bench = sum(laid.map(({ setUp, cleanUp }) => setUp + cleanUp));
        const coats = laid.flatMap((layer) => layer.coats);
        const spraying = sum(coats.map(({ minutes }) => sum(minutes)));
        const flashing = sum(coats.map(({ flashOff }) => flashOff));
        expect(plan.handsOn).toBeCloseTo(bench + spraying, 6); // identity: every minute of work is planned once
        // identity: one after another takes all hands and every flash-off of every part
        expect(plan.workEnds).toBeLessThanOrEqual(bench + spraying + groups * flashing + 1e-6);
        expect(plan.workEnds).toBeGreaterThanOrEqual(bench + spraying - 1e-6);
      }),
      { seed, numRuns: cases(400) },
    );
  });

  test("whatever the length of the day, the work ends, and no minute of it is lost", () => {
    // identity: every hundredth of an hour that a day may have, 500 h of work and more, minutes that are no whole numbers
    const minutes = [463.7, 1 / 3, 1201.19];
    const layers: LayerStep[] = ["base", "colour", "clear"].map((layer, l) => ({
      layer,
      setUp: 12.1,
      cleanUp: 9.9,
      coats: Array.from({ length: 6 }, (_, c) => ({
        label: `${layer} ${c}`,
        minutes: minutes.map((each) => each * (1 + 0.1 * l)),
        flashOff: 14.6,
      })),
    }));
    const all = layers.flatMap(({ setUp, cleanUp, coats }) => [
      setUp,
      cleanUp,
      ...coats.flatMap((c) => c.minutes),
    ]);
    const total = all.reduce((a, b) => a + b, 0);
    const faults: string[] = [];
    for (let hundredths = 100; hundredths <= 2400; hundredths++) {
      const length = 60 * (hundredths / 100);
      const { bars, workEnds, handsOn, waiting, days } = planWork(layers, 3, 720, { length });
      const work = bars.filter(hands);
      let laid = 0;
      work.forEach(({ start, end, label }, i) => {
        laid += withoutNights(end, length) - withoutNights(start, length);
        const inside = start % 1440 < length && (end % 1440 || 1440) <= length + 1e-6;
        if (!inside || !(end > start) || (i > 0 && start < work[i - 1].end))
          faults.push(`${length}: ${label}`);
      });
      const kept =
        work.length === all.length &&
        Math.abs(laid - total) < 1e-4 &&
        Math.abs(handsOn - total) < 1e-4 &&
        Math.abs(withoutNights(workEnds, length) - handsOn - waiting) < 1e-4 &&
        days === Math.ceil(workEnds / 1440);
      if (!kept) faults.push(`${length} min: ${laid} of ${total} min laid, ${handsOn} told`);
    }
    expect(faults).toEqual([]);
  });

  test("work without end is refused, however short the day", () => {
    const endless = (minutes: number): LayerStep[] => [
      { layer: "colour", setUp: 0, cleanUp: 0, coats: [coat([minutes], 5)] },
    ];
    expect(planWork(endless(480 * 1000), 1, 0, day).days).toBe(1000); // identity
    for (const minutes of [480 * 1000 + 1, 1e12, 1e308])
      expect(() => planWork(endless(minutes), 1, 0, day)).toThrow(/more than 1000 working days.*pace/);
    expect(() =>
      planWork([{ ...endless(1)[0], coats: [coat([1], 1e305), coat([1], 0)] }], 1, 0, day),
    ).toThrow(/1000 working days/);
    expect(() => planWork(endless(1), 1, 0, { length: 1e-9 })).toThrow(/working day/);
  });

  test("what cannot be is refused", () => {
    const layer = (minutes: number[]): LayerStep => ({
      layer: "colour",
      setUp: 0,
      cleanUp: 0,
      coats: [coat(minutes, 5)],
    });
    expect(() => planWork([layer([1])], 0, 0, day)).toThrow(/groups/);
    expect(() => planWork([layer([1, 2])], 1, 0, day)).toThrow(/2 groups are given, not 1/);
    expect(() => planWork([layer([-1])], 1, 0, day)).toThrow(/coat.*min/);
    expect(() => planWork([layer([1])], 1, -5, day)).toThrow(/cure/);
    expect(() => planWork([layer([1])], 1, 0, { length: 0 })).toThrow(/working day/);
    expect(() => planWork([layer([1])], 1, 0, { length: 1500 })).toThrow(/at most 1440/);
  });
});

describe("time of day", () => {
  test.each([
    ["8:00", 480],
    ["08.30", 510],
    ["13h05", 785],
    ["00:00", 0],
    ["23:59", 1439],
  ])("%s", (text, minutes) => expect(readClock(text)).toBe(minutes)); // identity

  test.each(["", "8", "24:00", "8:60", "eight", "-8:00"])("“%s” is refused", (text) =>
    expect(() => readClock(text)).toThrow(/is not a time of day.*08:00/),
  );

  test("clock and day as text", () => {
    expect(clockText(480, 0)).toBe("08:00"); // identity
    expect(clockText(480, 358)).toBe("13:58");
    expect(clockText(480, 1088)).toBe("02:08 on day 2");
  });
});
