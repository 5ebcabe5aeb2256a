import { describe, expect, test } from "vitest";
import type { GraphCell } from "../../src/graph/graphCell.ts";
import { coatsSaid, type JobBatch, layerOf } from "../../src/job/batch.ts";
import type { DayPlan } from "../../src/job/dayPlan.ts";
import { type JobRecord, recordOf } from "../../src/job/jobRecord.ts";
import { recordPanels } from "../../src/job/panelsForLedger.ts";
import { coatsText } from "../../src/paper/jobSheet.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { computed, jobCells, okValue } from "./jobFixture.ts";

const ids = lanternRoom.parts.map(({ id }) => id);
const bolsters = ids[1];
const more = { [bolsters]: { moreCoats: 2 } };

/** The demo job with one part alone and so many heavy coats more in its plan. */
function alone(part: string, heavyCoats: number, changes = {}): GraphCell[] {
  const cells = jobCells({ plan: { heavyCoats: lanternRoom.demoPlan.heavyCoats + heavyCoats }, ...changes });
  return cells.map((cell) =>
    cell.id === "cover" ? { ...cell, inputs: { ...cell.inputs, parts: [part] } } : cell,
  );
}

const value = <Value>(cells: GraphCell[], id: string) =>
  computed(cells, (outcome) => okValue<Value>(outcome(id)));
const ledger = { batch: { roundTo: 0, step: 0.001, panelArea: 0.001 } };

describe("a part that gets two heavy coats more than the plan", () => {
  test("looks as a job of it alone with two more in the plan, curve and panels", async () => {
    const together = await value<Coverage>(jobCells(more), "cover");
    const own = (await value<Coverage>(alone(bolsters, 2), "cover")).parts[0];
    const part = together.parts[1];
    // identity: the same films
    expect(part.painted).toEqual(own.painted);
    expect(part.bare).toEqual(own.bare);
    expect(part.steps).toEqual(own.steps);
    expect(part.coatsToTarget).toBe(own.coatsToTarget);
    // The others stay as they were, to the last digit.
    const before = await value<Coverage>(jobCells(), "cover");
    for (const p of [0, 2]) expect(together.parts[p]).toEqual(before.parts[p]);
    expect(together.colourDryThickness).toBe(before.colourDryThickness);
  });

  test("a fit is made over what each part gets", async () => {
    const fitOver = (cells: GraphCell[], parts: string[]) =>
      computed(
        cells.map((cell) =>
          cell.id === "red"
            ? {
                ...cell,
                inputs: {
                  pigments: "rack",
                  target: "target",
                  viewing: "viewing",
                  basecoat: "ground",
                  plan: "plan",
                  parts,
                },
              }
            : cell,
        ),
        async (_, graph) => {
          const patch = (await graph.act("red", "fit", new AbortController().signal)) as {
            amounts: { component: string; volume: number }[];
          };
          return patch.amounts;
        },
      );
    // identity: the same films, so the same fit
    expect(await fitOver(jobCells(more), [bolsters])).toEqual(await fitOver(alone(bolsters, 2), [bolsters]));
    expect(await fitOver(jobCells(more), ids)).not.toEqual(await fitOver(jobCells(), ids));
  });

  test("litres are those of the parts by themselves together", async () => {
    const dispensed = async (cells: GraphCell[]) =>
      layerOf(await value<JobBatch>(cells, "batch"), "colour")!.quantity.ledger.onParts;
    const whole = await dispensed(jobCells({ ...more, ...ledger }));
    const [seats, bolster, plinth] = await Promise.all(
      ids.map((id) => dispensed(alone(id, id === bolsters ? 2 : 0, ledger))),
    );
    // identity: volumes add up; 1e-6 mL: rounding
    expect(Math.abs(whole - (seats + bolster + plinth))).toBeLessThan(1e-6);
  });

  test("the day gives it its coats, and no other part", async () => {
    const { plan, batch } = await value<DayPlan>(jobCells(more), "day");
    const laid = batch.parts.map(
      (_, p) =>
        plan.bars.filter(({ kind, layer, group }) => kind === "coat" && layer === "colour" && group === p)
          .length,
    );
    expect(laid).toEqual([4, 6, 4]); // source: the plan, 2 light and 2 heavy
    const { plan: own } = await value<DayPlan>(alone(bolsters, 2), "day");
    const minutes = (bars: DayPlan["plan"]["bars"], group: number) =>
      bars
        .filter((bar) => bar.kind === "coat" && bar.layer === "colour" && bar.group === group)
        .reduce((sum, { start, end }) => sum + end - start, 0);
    expect(minutes(plan.bars, 1)).toBeCloseTo(minutes(own.bars, 0), 4); // identity; times are told in ticks
    const colour = layerOf(batch, "colour")!;
    expect(coatsSaid(batch, "colour")).toBe("4 to 6");
    expect(coatsText(colour, batch.parts, "metric")).toBe(
      "2 light × 15 µm, 2 heavy × 30 µm wet; on Corner bolsters 2 more × 30 µm",
    );
    // Many parts with more are counted, not named: the row of a sheet has no room.
    const many = Array.from({ length: 5 }, () => ({ ...batch.parts[1] }));
    expect(coatsText(colour, many, "metric")).toMatch(/; on 5 kinds of part more × 30 µm$/);
    // source: arithmetic: two coats of 30 µm wet more where the film is thickest
    const { batch: even } = await value<DayPlan>(jobCells(), "day");
    expect(batch.dryBuild).toBeCloseTo(even.dryBuild + 60 * colour.volumeSolids, 9);
  });

  test("the record and the ledger know what lay on it", async () => {
    const { batch } = await value<JobRecord>(jobCells({ ...more, ...ledger }), "record");
    const measured = [{ part: "Corner bolsters", L: 40, a: 50, b: 30 }];
    const record = recordOf(batch, { weighed: [], coats: [], specular: "excluded", measured }, []);
    // tolerance: the batch is rounded to 1 mg
    expect(record.parts[1].benchMiss).toBeLessThan(0.01);
    const [panel] = recordPanels(record, measured, { specular: "excluded", date: "2026-01-01", origin: "" });
    expect(panel.coats).toBe(6);
    // source: arithmetic: (2·15 + 4·30)/6 µm
    expect(panel.thickness).toMatchObject({ basis: "wet", value: 25 });
  });
});
