import { describe, expect, test } from "vitest";
import { historyIn } from "../../cells/job-record/define.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { type JobRecord, type RecordEntry, typicalMiss, withEntries } from "../../src/job/jobRecord.ts";
import { computed, jobCells, okValue } from "./jobFixture.ts";

const recordWith = (record: Record<string, unknown>, others: Record<string, Record<string, unknown>> = {}) =>
  computed(jobCells({ record, ...others }), (outcome) => okValue<JobRecord>(outcome("record")));
const partOf = (record: JobRecord, name: string) => record.parts.find((part) => part.name === name)!;

describe("a job as built", () => {
  test("with nothing filled in it is the plan", async () => {
    const record = await recordWith({});
    for (const part of record.parts) {
      // tolerance: the batch is rounded to 0.1 g, which moves the shares of about 1.2 kg by less than 0.05 %
      expect(part.benchMiss).toBeLessThan(0.1);
      expect(part.measured).toBeUndefined();
    }
    expect(record.entries).toEqual([]);
    expect(record.start.panel).toBeUndefined();
  });

  test("a reading of just what was predicted leaves the model no miss, however the instrument counts the surface", async () => {
    for (const specular of ["included", "excluded"]) {
      const { expected, name } = (await recordWith({ specular })).parts[0];
      const reading = { part: name, L: expected[0], a: expected[1], b: expected[2] };
      const part = partOf(await recordWith({ specular, measured: [reading] }), name);
      // identity: there and back through the surface reflection
      expect(part.modelMiss).toBeLessThan(1e-9);
      expect(part.measuredDifference).toBeCloseTo(part.asBuilt.difference!, 9);
      expect(part.words).toBe("no visible difference");
    }
  });

  test("an instrument that counts the surface in reads lighter and greyer", async () => {
    const [included, excluded] = [await recordWith({}), await recordWith({ specular: "excluded" })];
    const [a, b] = [included.parts[0].expected, excluded.parts[0].expected];
    // identity: the same share of white everywhere
    expect(a[0]).toBeGreaterThan(b[0]);
    expect(Math.hypot(a[1], a[2])).toBeLessThan(Math.hypot(b[1], b[2]));
  });

  test("what the bench changed and what the model missed are told apart", async () => {
    const plan = await recordWith({});
    const white = plan.amounts.find(({ component }) => component.id === "pw6")!;
    const weighed = [{ layer: "colour", component: "pw6", grams: 5 * white.planned }];
    const built = await recordWith({ weighed });
    const part = partOf(built, "Corner bolsters");
    expect(part.benchMiss).toBeGreaterThan(0.5); // five times the white shows
    // identity: the bench's change is the difference between the two predictions
    expect(part.benchMiss).toBeCloseTo(deltaE2000(part.planned.Lab, part.asBuilt.Lab), 12);
    // a reading that fits the overdose is no miss of the model
    const [L, a, b] = part.expected;
    const read = partOf(
      await recordWith({ weighed, measured: [{ part: part.name, L, a, b }] }),
      "Corner bolsters",
    );
    expect(read.modelMiss).toBeLessThan(1e-9);
    expect(read.measuredDifference).toBeGreaterThan(partOf(plan, "Corner bolsters").planned.difference!);
  });

  test("coats left out show on the black part", async () => {
    const record = await recordWith({
      coats: [
        { layer: "basecoat", coats: 0 },
        { layer: "colour", coats: 2 },
      ],
    });
    // common practice: a red does not reach its target over black
    expect(partOf(record, "Corner bolsters").asBuilt.difference).toBeGreaterThan(5);
    expect(record.coats.find(({ layer }) => layer.kind === "colour")).toMatchObject({ planned: 4, laid: 2 });
  });

  test("a correction starts from what was poured and the worst reading", async () => {
    const record = await recordWith({
      weighed: [{ layer: "colour", component: "pr254", grams: 110 }],
      measured: [
        { part: "Banquette seats", L: 40, a: 43, b: 22 },
        { part: "Plinth panels", L: 30, a: 30, b: 10 },
      ],
    });
    const { pot, panel } = record.start;
    expect(pot.find(({ component }) => component === "pr254")!.volume).toBeCloseTo(100, 9); // source: 110 g ÷ 1.10 g/mL
    expect(panel).toEqual({ part: 3, L: 30, a: 30, b: 10, specular: "included" });
  });

  test("what cannot be is refused at its field", async () => {
    const error = (record: Record<string, unknown>) =>
      computed(jobCells({ record }), (outcome) => outcome("record"));
    expect(await error({ weighed: [{ layer: "colour", component: "pw6", grams: -1 }] })).toMatchObject({
      status: "error",
      field: "weighed",
    });
    expect(await error({ coats: [{ layer: "colour", coats: 99 }] })).toMatchObject({
      status: "error",
      field: "coats",
    });
    expect(await error({ measured: [{ part: "x", L: 200, a: 0, b: 0 }] })).toMatchObject({
      status: "error",
      field: "measured",
    });
    const dark = await error({ measured: [{ part: "Banquette seats", L: 2, a: 0, b: 0 }] });
    expect(dark).toMatchObject({ status: "error", field: "measured", bug: false });
    expect((dark as { message: string }).message).toMatch(/Banquette seats: .*darker than the surface/);
  });

  test("a reading of a part that is gone is told, not lost", async () => {
    const outcome = await computed(
      jobCells({ record: { measured: [{ part: "Bar stools", L: 40, a: 43, b: 22 }] } }),
      (outcome) => outcome("record"),
    );
    expect((outcome as { notes?: string[] }).notes?.join()).toMatch(/"Bar stools".*not among the parts/);
  });
});

describe("the history over all jobs", () => {
  const reading = { part: "Banquette seats", L: 40, a: 45, b: 22 };

  test("is kept by its action and found again in the notebook", async () => {
    const patch = await computed(
      jobCells({ record: { measured: [reading], date: "2031-05-04" } }),
      (_, graph) => graph.act("record", "keep", new AbortController().signal),
    );
    const { history } = patch as { history: RecordEntry[] };
    expect(history).toHaveLength(1);
    expect(history[0]).toMatchObject({ job: "Record", date: "2031-05-04", part: "Banquette seats" });
    const saved = JSON.stringify({ cells: [{ kind: "note" }, { kind: "job-record", parameters: patch }] });
    expect(historyIn(saved)).toEqual(history);
    const record = await recordWith({ ...patch, measured: [], date: "" });
    expect(record.entries).toEqual(history);
  });

  test("the same reading kept twice stands once", async () => {
    const kept = await recordWith({ measured: [reading], date: "d" });
    const again = await recordWith({ measured: [reading], date: "d", history: kept.entries });
    expect(again.entries).toEqual(kept.entries);
    const [entry] = kept.entries;
    expect(withEntries([entry], [{ ...entry, part: "other" }])).toHaveLength(2);
    expect(withEntries([entry], [{ ...entry, modelMiss: 9 }])).toEqual([{ ...entry, modelMiss: 9 }]);
  });

  test("nothing to keep is told", async () => {
    await expect(
      computed(jobCells(), (_, graph) => graph.act("record", "keep", new AbortController().signal)),
    ).rejects.toThrow(/No part has a reading yet/);
  });

  test.each([
    ["no JSON", "{", /not valid JSON/],
    ["no notebook", "[]", /no cells/],
    ["no records", '{"cells": []}', /no kept readings/],
    [
      "a broken record",
      '{"cells": [{"kind": "job-record", "parameters": {"history": [{"job": 1}]}}]}',
      /cannot be read/,
    ],
    ["null", "null", /no cells/],
    ["cells of null", '{"cells": [null, 3]}', /no kept readings/],
  ])("a file that is %s is refused in words", (_, text, message) => {
    expect(() => historyIn(text)).toThrow(message);
  });

  test("the typical miss is the median", () => {
    const misses = (...values: number[]) => values.map((modelMiss) => ({ modelMiss }));
    expect(typicalMiss(misses(3, 1, 2))).toBe(2); // identity
    expect(typicalMiss(misses(4, 1, 2, 3))).toBe(2.5);
    expect(typicalMiss([])).toBeUndefined();
  });
});
