import { describe, expect, test } from "vitest";
import type { WeighedOut } from "../../cells/weigh-out/define.ts";
import { type JobBatch, layerOf } from "../../src/job/batch.ts";
import type { DayPlan } from "../../src/job/dayPlan.ts";
import { moneyText } from "../../src/job/price.ts";
import type { CustomerQuote } from "../../src/job/quote.ts";
import type { JobSheet } from "../../src/paper/jobSheet.ts";
import { jobSheetDocument } from "../../src/paper/jobSheetPage.ts";
import { durationText } from "../../src/units/units.ts";
import { plainLab } from "../bench/plain.ts";
import { computed, jobCells, okValue } from "./jobFixture.ts";

const cents = (amount: number) => Math.round(100 * amount);
const plain = (html: string) => html.replace(/<style>[\s\S]*?<\/style>|<[^>]*>/g, " ").replace(/\s+/g, " ");

// identity throughout: one thing has one number, wherever it stands.
describe("the cells of one job agree", async () => {
  const weigh = {
    id: "weigh",
    kind: "weigh-out",
    title: "Weigh out",
    parameters: { batch: 300, measure: "both", step: "0.1" },
    inputs: { coverage: "cover" },
  };
  const cells = [
    ...jobCells({
      quote: { customer: "Café of the invented job" },
      sheet: { customer: "somebody else", showPrice: true },
    }),
    weigh,
  ];
  const all = await computed(cells, (outcome) => ({
    batch: okValue<JobBatch>(outcome("batch")),
    day: okValue<DayPlan>(outcome("day")),
    quote: okValue<CustomerQuote>(outcome("quote")),
    sheet: okValue<JobSheet>(outcome("sheet")),
    weighed: okValue<WeighedOut>(outcome("weigh")),
  }));
  const { batch, day, quote, sheet, weighed } = all;
  const page = plain(jobSheetDocument(sheet, { text: "job.bole.json", title: "The café job" }));

  test("prices: printed lines add up to the printed total", () => {
    for (const { price } of [quote.job, quote.comparison!.job]) {
      expect(price.lines.reduce((sum, line) => sum + cents(line.price), 0)).toBe(cents(price.net));
      expect(cents(price.net) + cents(price.tax)).toBe(cents(price.total));
    }
    const { reasons, job } = quote.comparison!;
    expect(reasons.reduce((sum, { price }) => sum + cents(price), 0)).toBe(
      cents(quote.job.price.net) - cents(job.price.net),
    );
    expect(sheet.price).toBe(`${moneyText(quote.job.price.total, quote.rates.currency)} with tax`);
  });

  test("hours: those of the day and those of finding the colour make up those of the quote", () => {
    const { minutes, lines } = quote.job.price;
    const finding = lines.find(({ id }) => id === "development")!.minutes;
    expect(finding).toBe(quote.job.trials * quote.job.trialMinutes);
    expect(minutes).toBeCloseTo(day.plan.handsOn + finding, 9);
    expect([...day.minutes.values()].reduce((sum, each) => sum + each, 0)).toBeCloseTo(day.plan.handsOn, 9);
    expect(sheet.time).toContain(`${durationText(day.plan.handsOn)} of work on the parts`);
  });

  test("finding the colour starts from the job: a ground of one paint is no mix to find", async () => {
    const single = await computed(jobCells({ ground: { ratio: 0 } }), (outcome) =>
      okValue<CustomerQuote>(outcome("quote")),
    );
    expect([quote.job.mixesToFind, single.job.mixesToFind]).toEqual([2, 1]);
    expect(single.job.trials).toBe(single.rates.trialsPerMix);
  });

  test("one order of pouring: binder first, then the largest", () => {
    const colour = layerOf(batch, "colour")!.recipe!;
    const inBatch = colour.components.map(({ name }) => name);
    const inWeighing = weighed.doses.map(
      ({ component }) => weighed.coverage.recipe.components[component].name,
    );
    const onSheet = sheet.recipes.find(({ name }) => name === "Colour")!.rows.map(({ name }) => name);
    expect(inBatch).toEqual(inWeighing);
    onSheet.forEach((name, i) => expect(name).toContain(inBatch[i]));
    expect(colour.components[0].role).toBe("binder");
    const volumes = colour.poured.amounts.slice(1).map(({ volume }) => volume);
    expect(volumes).toEqual([...volumes].sort((p, q) => q - p));
  });

  test("large doses are weighed, small ones counted", () => {
    expect(new Set(weighed.doses.map(({ unit }) => unit))).toEqual(new Set(["grams", "drops"]));
    for (const { unit, volume, steps, component } of weighed.doses) {
      if (unit === "drops") expect(steps).toBeLessThanOrEqual(61);
      else if (weighed.coverage.recipe.components[component].role !== "binder")
        expect(20 * volume).toBeGreaterThan(59);
    }
  });

  test("the sheet is called as the notebook, says the target's colour, and for whom as the quote does", () => {
    expect(page).toContain("The café job");
    expect(page).toContain("For Café of the invented job");
    expect(page).not.toContain("somebody else");
    // identity: as the target was read, with all of its surface reflection, not as it looks under the cell's sheen
    const { target, viewing } = batch.coverage;
    if (target?.kind !== "spectrum") throw new Error("the fixture's target is a spectrum");
    const [L, a, b] = plainLab([...target.reflectance], viewing.weights);
    expect(page).toContain(`L* ${L.toFixed(1)} a* ${a.toFixed(1)} b* ${b.toFixed(1)}`);
  });
});
