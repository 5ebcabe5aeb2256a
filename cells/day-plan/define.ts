import { InputError } from "../../src/graph/outcome.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { JobBatch } from "../../src/job/batch.ts";
import { type DayPlan, dayPlanOf, type PaceSettings } from "../../src/job/dayPlan.ts";
import { defineJobCell } from "../../src/job/defineJobCell.ts";
import { dayQuantities } from "../../src/job/jobQuantities.ts";
import { clockText, readClock, usualStroke } from "../../src/job/workPlan.ts";
import { durationText } from "../../src/units/units.ts";

const minutes = (label: string, initial: number, help = "", max = 1440) =>
  ({ type: "number", label, unit: "min", help, min: 0, max, step: 1, initial }) as const;

const parameters = {
  startOfDay: {
    type: "text",
    label: "Work begins at",
    help: "A time of day such as 08:00.",
    initial: "08:00",
    maxLength: 8,
  },
  dayLength: {
    type: "number",
    label: "Hours of work in a day",
    unit: "h",
    min: 1,
    max: 24,
    step: 0.5,
    initial: 8,
  },
  fanWidth: {
    type: "number",
    label: "Width of the fan",
    unit: "cm",
    min: 1,
    max: 60,
    step: 1,
    initial: 100 * usualStroke.fanWidth,
  },
  gunSpeed: {
    type: "number",
    label: "Speed of the gun",
    unit: "m/s",
    min: 0.02,
    max: 2,
    step: 0.05,
    initial: usualStroke.gunSpeed,
  },
  overlap: {
    type: "number",
    label: "Overlap of strokes",
    unit: "%",
    min: 0,
    max: 90,
    step: 5,
    initial: 100 * usualStroke.overlap,
  },
  spongeRate: {
    type: "number",
    label: "With sponge or pad",
    unit: "m²/min",
    min: 0.01,
    max: 10,
    step: 0.05,
    initial: 0.4,
  },
  turning: {
    type: "number",
    label: "Turning and handing a piece",
    unit: "min",
    help: "For each piece and coat.",
    min: 0,
    max: 60,
    step: 0.1,
    initial: 0.8,
  },
  preparation: {
    type: "number",
    label: "Cleaning, masking, checking",
    unit: "min/m²",
    min: 0,
    max: 240,
    step: 1,
    initial: 8,
  },
  mixing: minutes("Weighing, stirring, straining a mix", 15),
  gunCleaning: minutes("Cleaning the gun after a layer", 10),
  flashCleaner: minutes("Flash-off after cleaning", 15),
  flashAdhesion: minutes("Flash-off after an adhesion coat", 15),
  flashBasecoat: minutes("Flash-off after a basecoat", 15),
  flashLight: minutes("Flash-off after a light colour coat", 10),
  flashHeavy: minutes("Flash-off after a heavy colour coat", 15),
  flashClear: minutes("Flash-off after a clear coat", 20),
  cure: {
    type: "number",
    label: "Cure before parts are handled",
    unit: "h",
    help: "From the product's data sheet.",
    min: 0,
    max: 336,
    step: 1,
    initial: 12,
  },
} as const;

export const dayPlan = defineJobCell({
  kind: "day-plan",
  label: "Day plan",
  about:
    "How long the job takes in minutes of work and of waiting, coat by coat. " +
    "While one kind of part flashes off another is sprayed.",
  inputs: { batch: { type: "batch", label: "Batch" } },
  output: "day-plan",
  parameters,
  compute: ({ batch }, p, { note }): DayPlan & { readonly batch: JobBatch } => {
    const day = dayPlanOf(batch, paceFrom(p));
    if (day.plan.days > 1) {
      note(
        `The work takes ${day.plan.days} days: see that each layer may be coated over after the night in between`,
      );
    }
    return { ...day, batch };
  },
  quantities: dayQuantities,
  verdict: ({ plan, pace }) => {
    const clock = (minutes: number) => clockText(pace.startOfDay, minutes);
    const figure = `${durationText(plan.handsOn)} of work on the parts`;
    return {
      text:
        `${figure}, begun at ${clock(0)} and done at ${clock(plan.workEnds)}; parts may be handled at ${clock(plan.cured)}.` +
        (plan.waiting >= 1 ? ` In between ${durationText(plan.waiting)} of waiting.` : ""),
      figure,
    };
  },
  summarise: ({ plan, pace, minutes, laying }) => ({
    handsOn: plan.handsOn,
    waiting: plan.waiting,
    laying,
    days: plan.days,
    workEnds: clockText(pace.startOfDay, plan.workEnds),
    cured: clockText(pace.startOfDay, plan.cured),
    minutes: Object.fromEntries(minutes),
  }),
});

export default dayPlan;

function paceFrom(p: ParameterValues<typeof parameters>): PaceSettings {
  return {
    stroke: { fanWidth: p.fanWidth / 100, gunSpeed: p.gunSpeed, overlap: p.overlap / 100 },
    spongeRate: p.spongeRate,
    turning: p.turning,
    preparation: p.preparation,
    flashOff: {
      cleaner: p.flashCleaner,
      adhesion: p.flashAdhesion,
      basecoat: p.flashBasecoat,
      light: p.flashLight,
      heavy: p.flashHeavy,
      clear: p.flashClear,
    },
    cure: 60 * p.cure,
    mixing: p.mixing,
    gunCleaning: p.gunCleaning,
    startOfDay: clockOf(p.startOfDay),
    dayLength: 60 * p.dayLength,
  };
}

function clockOf(text: string): number {
  try {
    return readClock(text);
  } catch (error) {
    throw new InputError(`Work begins at ${(error as Error).message}`, {
      field: "startOfDay",
      wayOut: "Start again from 08:00",
    });
  }
}
