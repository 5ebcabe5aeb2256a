import * as v from "valibot";
import { noteDoubtOfLab } from "../../src/colour/surfaceColour.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { JobBatch } from "../../src/job/batch.ts";
import { defineJobCell } from "../../src/job/defineJobCell.ts";
import {
  type AsBuilt,
  type CoatsLaid,
  entriesOf,
  type JobRecord,
  type MeasuredPart,
  type RecordEntry,
  recordOf,
  type Weighed,
  withEntries,
} from "../../src/job/jobRecord.ts";
import { specularOf } from "../../src/ports/specularParameter.ts";

const number = (min: number, max: number, unit = "") => {
  const words = `${min} to ${max}${unit && ` ${unit}`} is allowed`;
  return v.pipe(v.number(words), v.finite(words), v.minValue(min, words), v.maxValue(max, words));
};
const name = v.pipe(v.string(), v.maxLength(200));
const difference = v.nullable(number(0, 1000));

/** Entries as kept in the notebook. */
const historySchema = v.pipe(
  v.array(
    v.strictObject({
      job: name,
      date: v.pipe(v.string(), v.maxLength(40)),
      part: name,
      planned: difference,
      asBuilt: difference,
      measured: difference,
      modelMiss: number(0, 1000),
    }),
  ),
  v.maxLength(2000, "at most 2000 entries"),
);

const parameters = {
  date: {
    type: "text",
    label: "Date of the job",
    help: "As you write it; 2031-05-04 sorts well.",
    initial: "",
    maxLength: 40,
  },
  specular: {
    type: "choice",
    label: "The instrument counts the surface reflection",
    options: [
      { value: "as target", label: "as in the target's reading" },
      { value: "included", label: "in (sphere, SCI)" },
      { value: "excluded", label: "out (45/0 or SCE)" },
    ],
    initial: "as target",
  },
  weighed: {
    type: "value",
    label: "Weighed",
    schema: v.pipe(
      v.array(
        v.strictObject({
          layer: v.picklist(["basecoat", "colour"]),
          component: v.pipe(v.string(), v.maxLength(64)),
          grams: number(0, 1_000_000, "g"),
        }),
      ),
      v.maxLength(80, "at most 80 amounts"),
    ),
    initial: [] as Weighed[],
  },
  coats: {
    type: "value",
    label: "Coats laid",
    schema: v.pipe(
      v.array(
        v.strictObject({
          layer: v.picklist(["cleaner", "adhesion", "basecoat", "colour", "clear"]),
          coats: v.pipe(number(0, 30), v.integer("a whole number is allowed")),
        }),
      ),
      v.maxLength(10, "at most 10 layers"),
    ),
    initial: [] as CoatsLaid[],
  },
  measured: {
    type: "value",
    label: "Readings",
    schema: v.pipe(
      v.array(
        v.strictObject({
          part: name,
          L: number(0, 100),
          a: number(-150, 150),
          b: number(-150, 150),
        }),
      ),
      v.maxLength(200, "at most 200 readings"),
    ),
    initial: [] as MeasuredPart[],
  },
  remarks: { type: "text", label: "What happened", initial: "", maxLength: 4000, long: true },
  history: { type: "value", label: "History", schema: historySchema, initial: [] as RecordEntry[] },
} as const;

type RecordParameters = ParameterValues<typeof parameters>;

export const jobRecord = defineJobCell({
  kind: "job-record",
  label: "Job record",
  about:
    "What was really weighed and laid, and how the parts measured, beside the plan. " +
    "Shows what the bench changed and what the model got wrong (ΔE00), job after job.",
  inputs: { batch: { type: "batch", label: "Batch" } },
  output: "job-record",
  parameters,
  compute: ({ batch }, p, { note, title }): JobRecord => {
    const record = recordFrom(batch, p);
    const known = new Set(record.parts.map((part) => part.name));
    for (const { part } of p.measured)
      if (!known.has(part)) note(`There is a reading of "${part}", which is not among the parts now`);
    for (const { L, a, b } of p.measured) noteDoubtOfLab([L, a, b], note);
    const entries = withEntries(p.history, entriesOf(record, title, p.date));
    return { ...record, entries };
  },
  actions: {
    keep: {
      label: "Keep in the history",
      run: ({ batch }, p, { title }) => {
        if (!batch) throw new InputError("Link a batch first", { field: "batch" });
        const entries = entriesOf(recordFrom(batch, p), title, p.date);
        if (entries.length === 0) {
          throw new InputError("No part has a reading yet", {
            field: "measured",
            wayOut: "Fill in L*, a* and b* of at least one part",
          });
        }
        return { history: withEntries(p.history, entries) };
      },
    },
  },
  verdict: ({ parts, batch: { coverage } }) => {
    const measured = parts.filter((part) => part.modelMiss !== undefined);
    if (measured.length === 0) {
      return {
        text: "When the parts are dry, take a reading of each in the main light of the viewing cell and put it here beside the plan.",
      };
    }
    const worst = measured.reduce((a, b) => (b.modelMiss! > a.modelMiss! ? b : a));
    const { formula, tolerance } = coverage.viewing;
    const passing = measured.filter(
      (part) => (part.measuredDifference ?? Number.POSITIVE_INFINITY) <= tolerance,
    ).length;
    const figure = coverage.targetSeen
      ? `${passing} of ${measured.length}`
      : `ΔE00 ${differenceText(worst.modelMiss)}`;
    const pass = measured.length === 1 ? "part passes" : "parts pass";
    return {
      text:
        (coverage.targetSeen ? `${figure} measured ${pass} (${formula} up to ${tolerance}). ` : "") +
        `The prediction is off most on ${worst.name}: ΔE00 ${differenceText(worst.modelMiss)}, the part is ${worst.words}.`,
      figure,
    };
  },
  summarise: ({ amounts, coats, parts, entries }) => ({
    amounts: amounts.map(({ layer, component, planned, weighed }) => ({
      layer,
      name: component.name,
      planned,
      weighed: weighed ?? null,
    })),
    coats: coats.map(({ layer, planned, laid }) => ({ layer: layer.kind, planned, laid })),
    parts: parts.map((part) => ({
      name: part.name,
      planned: part.planned.difference ?? null,
      asBuilt: part.asBuilt.difference ?? null,
      measured: part.measuredDifference ?? null,
      modelMiss: part.modelMiss ?? null,
      benchMiss: part.benchMiss,
      words: part.words,
    })),
    entries,
  }),
});

export default jobRecord;

function recordFrom(batch: JobBatch, p: RecordParameters): JobRecord {
  const specular = specularOf(p.specular, batch.coverage.target);
  const asBuilt: AsBuilt = { weighed: p.weighed, coats: p.coats, measured: p.measured, specular };
  return recordOf(batch, asBuilt, p.history);
}

/**
 * The histories of all job records in a saved notebook.
 * @throws InputError in plain words for a text that is no notebook or holds none
 */
export function historyIn(text: string): RecordEntry[] {
  let plain: unknown;
  try {
    plain = JSON.parse(text);
  } catch {
    throw new InputError("this is not a notebook: it is not valid JSON");
  }
  const cells = (plain as { cells?: unknown } | null)?.cells;
  if (!Array.isArray(cells)) throw new InputError("this is not a notebook: it has no cells");
  const entries = cells
    .filter((cell) => (cell as { kind?: unknown } | null)?.kind === "job-record")
    .flatMap((cell, i) => {
      const { history = [] } = (cell as { parameters?: { history?: unknown } }).parameters ?? {};
      const read = v.safeParse(historySchema, history);
      if (!read.success)
        throw new InputError(`job record ${i + 1} cannot be read: ${read.issues[0].message}`);
      return read.output;
    });
  if (entries.length === 0)
    throw new InputError('it holds no kept readings: press "Keep in the history" there first');
  return entries;
}
