import { describe, expect, test } from "vitest";
import { quote } from "../../cells/quote/define.ts";
import type { JobBatch } from "../../src/job/batch.ts";
import { layerOf } from "../../src/job/batch.ts";
import { batchOf, planOf } from "../../src/job/batchOf.ts";
import type { DayPlan } from "../../src/job/dayPlan.ts";
import type { CustomerQuote } from "../../src/job/quote.ts";
import { jobSheetOf } from "../../src/paper/jobSheet.ts";
import { componentToSave } from "../../src/ports/pigmentSet.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { computed, jobCells, okValue } from "./jobFixture.ts";

const batchWith = (
  parameters: Record<string, unknown> = {},
  others: Record<string, Record<string, unknown>> = {},
) => computed(jobCells({ batch: parameters, ...others }), (outcome) => okValue<JobBatch>(outcome("batch")));
const errorWith = (id: string, parameters: Record<string, unknown>) =>
  computed(jobCells({ [id]: parameters }), (outcome) => outcome(id));

describe("the batch of the demo job", () => {
  test("volumes follow from area, film and transfer", async () => {
    const batch = await batchWith({ roundTo: 0, step: 0.001 });
    // source: arithmetic: 9 × 0.55 + 4 × 0.32 + 6 × 0.21 m²
    expect(batch.surface).toBeCloseTo(7.49, 12);
    const colour = layerOf(batch, "colour")!;
    // identity: wet film of 2 × 15 + 2 × 30 µm on 7.49 m²
    expect(colour.quantity.ledger.onParts).toBeCloseTo(7.49 * 90, 9);
    expect(colour.quantity.ledger.overspray).toBeCloseTo((7.49 * 90 * 0.35) / 0.65, 9);
    // source: arithmetic: (674.1/0.65 + 0.06·90/0.65 + 40) · 1.1; tolerance: steps of the balance
    expect(colour.quantity.mixVolume).toBeCloseTo(((674.1 + 5.4) / 0.65 + 40) * 1.1, 2);
    expect(batch.mixedVolume).toBeCloseTo(
      colour.quantity.ledger.dispensed + layerOf(batch, "basecoat")!.quantity.ledger.dispensed,
      9,
    );
  });

  test("every layer's ledger adds up, also after rounding the components", async () => {
    for (const parameters of [
      {},
      { dispensing: "drops", roundTo: 50 },
      { colourThinner: 10, basecoatThinner: 5, clearThinner: 20, dispensing: "ounces" },
    ]) {
      const batch = await batchWith(parameters);
      expect(batch.layers.map(({ kind }) => kind)).toEqual([
        "cleaner",
        "adhesion",
        "basecoat",
        "colour",
        "clear",
      ]);
      for (const { quantity, thinner } of batch.layers) {
        const { dispensed, ...parts } = quantity.ledger;
        // identity: conservation, to 1e-9
        const sum = Object.values(parts).reduce((a, b) => a + b, 0);
        expect(Math.abs(sum / dispensed - 1)).toBeLessThan(1e-9);
        expect(quantity.mixVolume * (1 + thinner)).toBeCloseTo(dispensed, 8);
        expect(parts.rounding).toBeGreaterThan(-1e-6);
      }
    }
  });

  test("the scaled recipe keeps the ratios of the recipe", async () => {
    const batch = await batchWith({ step: 0.001, dispensing: "grams" });
    const { poured, components } = layerOf(batch, "colour")!.recipe!;
    const { recipe } = batch.coverage;
    components.forEach((component, i) => {
      const own = recipe.volumes[recipe.components.indexOf(component)] / 100;
      // identity: proportion; tolerance: half a step of 0.001 g in about 1200 mL
      expect(poured.amounts[i].volume / poured.volume).toBeCloseTo(own, 5);
    });
  });

  test("what is to be had at hand is what all pots take, in the sizes that the shelf says", async () => {
    const [first] = lanternRoom.pastes.filter(({ id }) =>
      lanternRoom.demoRecipe.volumes.some((one) => one.id === id),
    );
    const sold = { ...componentToSave(first), containers: [30, 250], costPerMl: undefined };
    const batch = await batchWith({}, { rack: { added: [sold] } });
    const { needed } = batch;
    const poured = batch.layers.flatMap(
      ({ recipe }) => recipe?.poured.amounts.map(({ volume }) => volume) ?? [],
    );
    const sum = (values: number[]) => values.reduce((a, b) => a + b, 0);
    // identity: conservation; 1e-9 mL: rounding
    expect(Math.abs(sum(needed.map(({ volume }) => volume)) - sum(poured))).toBeLessThan(1e-9);
    const own = needed.find(({ component }) => component.id === first.id)!;
    expect(sum(own.containers.map(({ size, count }) => size * count))).toBeGreaterThanOrEqual(own.volume);
    expect(needed.filter(({ containers }) => containers.length > 0)).toEqual([own]);
    // Of no known cost: the quote says so beside the total, and the sheet too.
    const said = await computed(jobCells({ rack: { added: [sold] } }), (outcome) => ({
      quote: okValue<CustomerQuote>(outcome("quote")),
      price: jobSheetOf(
        okValue<JobBatch>(outcome("batch")),
        undefined,
        okValue<CustomerQuote>(outcome("quote")),
        { title: "", customer: "", date: "", by: "", remarks: "" },
      ).price,
    }));
    expect(said.quote.withoutCost).toEqual([first.name]);
    expect(quote.verdict!(said.quote, {} as never, "metric")!.text).toContain(
      `Not in it: ${first.name}, of no known cost.`,
    );
    expect(said.price).toContain(`with tax, without ${first.name}`);
  });

  test("grain adds paint to the parts that have it", async () => {
    const smooth = await batchWith({ roundTo: 0, step: 0.001 });
    const plan = planOf(smooth.coverage);
    const rough = plan.parts.map((part) =>
      part.name === "Banquette seats" ? { ...part, textureFactor: 1.2, material: "vinyl" } : part,
    );
    const grained = batchOf({ ...plan, parts: rough }, smooth.settings);
    // identity: 4.95 m² of seats times 0.2 more
    expect(grained.surface - smooth.surface).toBeCloseTo(4.95 * 0.2, 12);
    expect(grained.parts[0].material).toBe("vinyl");
    const onParts = (batch: typeof grained) => layerOf(batch, "colour")!.quantity.ledger.onParts;
    expect(onParts(grained) / onParts(smooth)).toBeCloseTo(grained.surface / smooth.surface, 9);
  });

  test("cautions follow from what is used", async () => {
    const ids = (batch: JobBatch) => batch.cautions.map(({ id }) => id);
    expect(ids(await batchWith())).toEqual(["label", "test-panel", "skin", "mist"]);
    const sponge = {
      adhesionMethod: "sponge",
      basecoatMethod: "sponge",
      colourMethod: "sponge",
      clearMethod: "sponge",
    };
    expect(ids(await batchWith(sponge))).not.toContain("mist");
    const vehicle = ids(await batchWith({ use: "vehicle", crossLinker: "isocyanate", carrier: "solvent" }));
    for (const id of [
      "isocyanate-training",
      "isocyanate-air",
      "airbag",
      "belts",
      "burning",
      "solvent-booth",
      "voc",
    ])
      expect(vehicle).toContain(id);
  });

  test("a film that is too thick is told, all layers counted", async () => {
    // common practice: flexible trim bears about 60 µm of dry film
    const notes = await computed(
      jobCells({ batch: { clearCoats: 4, clearWet: 40 } }),
      (outcome) => (outcome("batch") as { notes?: string[] }).notes,
    );
    expect(notes?.join()).toMatch(/All layers together.*above 60 µm/);
  });

  test("a target that is missed is told before so much is mixed", async () => {
    const notes = await computed(
      jobCells({ ground: { ratio: 0 } }),
      (outcome) => (outcome("batch") as { notes?: string[] }).notes,
    );
    expect(notes?.join()).toMatch(/misses the target by ΔE00 .*settle the colour before/);
  });

  test("layers without coats are left out", async () => {
    const batch = await batchWith({ adhesionCoats: 0, clearCoats: 0, cleanerPasses: 0 });
    expect(batch.layers.map(({ kind }) => kind)).toEqual(["basecoat", "colour"]);
    const plain = await batchWith({}, { ground: { coats: 0 } });
    expect(plain.layers.map(({ kind }) => kind)).not.toContain("basecoat");
  });
});

describe("what cannot be is refused at its field", () => {
  test.each<[string, Record<string, unknown>, string, RegExp]>([
    ["seats", { area: 0 }, "area", /Area of one is 0.*0\.001 to 1000 m²/],
    ["seats", { count: 0 }, "count", /How many is 0.*from 1/],
    ["batch", { clearSolids: 0 }, "clearSolids", /Volume solids of the clear coat is 0.*1 to 100 %/],
    ["batch", { adhesionSolids: 101 }, "adhesionSolids", /101.*1 to 100 %/],
    ["batch", { hvlpTransfer: 0 }, "hvlpTransfer", /Reaches the part, HVLP gun is 0.*1 to 100 %/],
    ["batch", { spongeTransfer: 120 }, "spongeTransfer", /120.*1 to 100 %/],
    ["batch", { clearCoats: 400 }, "clearCoats", /400.*0 to 6/],
    ["batch", { colourThinner: -5 }, "colourThinner", /-5.*0 to 100 %/],
    ["batch", { reserve: -1 }, "reserve", /-1.*0 to 200 %/],
    ["batch", { containers: "250, a bucket" }, "containers", /"a bucket" is not a volume/],
    ["batch", { step: 0 }, "step", /0.*0\.001 to 10/],
    ["plan", { heavyCoats: 5000 }, "heavyCoats", /5000.*0 to 12/],
    ["day", { gunSpeed: 0 }, "gunSpeed", /0.*0\.02 to 2 m\/s/],
    ["day", { startOfDay: "noonish" }, "startOfDay", /"noonish" is not a time of day/],
    ["quote", { labourPerHour: -60 }, "labourPerHour", /Labour is -60.*0 to/],
    ["quote", { tax: -1 }, "tax", /Tax is -1/],
    ["quote", { markup: "lots" }, "markup", /Mark-up on materials is "lots"/],
  ])("%s: %j", async (id, parameters, field, message) => {
    const outcome = await errorWith(id, parameters);
    expect(outcome).toMatchObject({ status: "error", field, bug: false });
    expect((outcome as { message: string }).message).toMatch(message);
  });

  test("what follows is blocked and names the cell to mend", async () => {
    const outcome = await computed(jobCells({ seats: { area: 0 } }), (outcome) => outcome("quote"));
    expect(outcome).toMatchObject({ status: "blocked", root: "seats" });
  });
});

describe("the day of the demo job", () => {
  const dayWith = (day: Record<string, unknown> = {}, batch: Record<string, unknown> = {}) =>
    computed(jobCells({ day, batch }), (outcome) => okValue<DayPlan>(outcome("day")));

  test("work, waiting and layers add up", async () => {
    const { plan, minutes } = await dayWith();
    // identity: each minute of work belongs to a layer; working time = work + waiting on a single day
    expect([...minutes.values()].reduce((a, b) => a + b, 0)).toBeCloseTo(plan.handsOn, 9);
    expect(plan.days).toBe(1);
    // The clock counts in ticks of 2⁻²⁴ min: each stretch of work is off by half a tick at most.
    const halfTicks = plan.bars.length * 2 ** -25;
    expect(Math.abs(plan.handsOn + plan.waiting - plan.workEnds)).toBeLessThanOrEqual(halfTicks + 1e-9);
  });

  test("a colour coat takes its strokes and its handling", async () => {
    const { minutes } = await dayWith({ mixing: 0, gunCleaning: 0, turning: 0 });
    // identity: 4 coats on 7.49 m² at 0.2 m · 0.5 · 0.35 m/s
    expect(minutes.get("colour")).toBeCloseTo((4 * 7.49) / (0.2 * 0.5 * 0.35 * 60), 9);
    expect(minutes.get("basecoat")).toBeCloseTo(minutes.get("colour")! / 2, 9);
  });

  test("a sponge has its own pace and no gun to clean", async () => {
    const { minutes } = await dayWith({ turning: 0, spongeRate: 0.5 }, { adhesionMethod: "sponge" });
    expect(minutes.get("adhesion")).toBeCloseTo(15 + 7.49 / 0.5, 9); // identity: mixing and wiping
  });

  test("short days make more of them, not more work", async () => {
    const [one, many] = [await dayWith(), await dayWith({ dayLength: 2 })];
    expect(many.plan.days).toBe(3);
    expect(many.plan.handsOn).toBeCloseTo(one.plan.handsOn, 9); // identity
  });
});
