import { defineJobCell } from "../../src/job/defineJobCell.ts";
import { type JobSheet, jobSheetOf } from "../../src/paper/jobSheet.ts";
import { plural } from "../../src/words/plural.ts";

export const jobSheet = defineJobCell({
  kind: "job-sheet",
  label: "Job sheet",
  about:
    "One page to work by and to keep: panels, recipe with running weights, ground in parts, coats, cautions, room for readings. " +
    "Prints on A4 and on US Letter. Everything on it is computed by the linked cells.",
  inputs: {
    batch: { type: "batch", label: "Batch" },
    day: { type: "day-plan", label: "Day plan", optional: true },
    quote: { type: "quote", label: "Quote", optional: true },
  },
  parameters: {
    customer: { type: "text", label: "Customer and job", initial: "", maxLength: 120 },
    date: { type: "text", label: "Date", initial: "", maxLength: 40 },
    by: { type: "text", label: "Worked by", initial: "", maxLength: 80 },
    remarks: { type: "text", label: "Notes", initial: "", maxLength: 400, long: true },
    showPrice: { type: "toggle", label: "Price on the sheet", initial: false },
  },
  compute: ({ batch, day, quote }, { customer, date, by, remarks, showPrice }, { title, note }): JobSheet => {
    if (remarks.length > 380) note("Long notes are cut on the sheet");
    // Who asks for the work is asked once: in the quote, where there is one.
    const words = { title, customer: quote?.customer || customer, date, by, remarks };
    return jobSheetOf(batch, day, showPrice ? quote : undefined, words);
  },
  verdict: ({ parts, recipes, cautions }) => {
    const figure = plural(recipes.length, "recipe");
    return {
      text: `One page with ${figure}, ${plural(parts.length, "kind")} of part and ${plural(cautions.length, "caution")}.`,
      figure,
    };
  },
  summarise: ({ layers, recipes, parts, cautions }) => ({
    layers: layers.map(({ name, coats, mix }) => ({ name, coats, mix })),
    recipes: recipes.map(({ name, parts, unit, rows, total }) => ({ name, parts, unit, rows, total })),
    parts: parts.map(({ name, size, predicted }) => ({ name, size, predicted })),
    cautions,
  }),
});

export default jobSheet;
