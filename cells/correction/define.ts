import * as v from "valibot";
import type { Component } from "../../src/coating/component.ts";
import { usualDropsPerMl } from "../../src/coating/drops.ts";
import type { ObserverName } from "../../src/colour/observer.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { defineJobCell } from "../../src/job/defineJobCell.ts";
import type { JobRecord } from "../../src/job/jobRecord.ts";
import type { Panel } from "../../src/ledger/panel.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { matchOf } from "../../src/ports/matchOf.ts";
import { type Pot, potSchema } from "../../src/ports/pot.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import { seeTarget } from "../../src/ports/seenTarget.ts";
import { type SpectrumParameter, spectrumSchema } from "../../src/ports/spectrum.ts";
import { specularOf, specularParameter } from "../../src/ports/specularParameter.ts";
import { swatchOf } from "../../src/ports/swatch.ts";
import type { Additions } from "../../src/recipes/additions.ts";
import type { Correction, CorrectionRequest } from "../../src/recipes/correction.ts";
import { overGround } from "../../src/recipes/finish.ts";
import { correctionTask } from "../../src/recipes/longTasks.ts";
import { trustIn } from "../../src/recipes/trustIn.ts";
import { illuminantNames } from "../../src/tables/illuminants.ts";
import { checkPanel, readingOf, readPanel } from "./model/panel.ts";

/** A mixed pot, its test panel, and what to add. */
export interface CorrectedPot {
  readonly correction: Correction;
  /** True when additions help, but too little to pass: a new mix is the better way. */
  readonly newMix: boolean;
  /** Drops to the mL of a paste. */
  readonly dropsPerMl: number;
  readonly coverage: Coverage;
  readonly components: readonly Component[];
  /** mL of each component in the pot. */
  readonly pot: Float64Array;
  readonly potVolume: number;
  /** CIELAB of the panel as read, seen with the viewing cell's sheen. */
  readonly panelLab: Float64Array;
  readonly panelXYZ: Float64Array;
  readonly targetXYZ: Float64Array;
  /** The panel as it was read, for the ledger: number of its part from 0, or none for one that hides everything. */
  readonly read: { readonly part: number | undefined; readonly reading: Panel["reading"] };
}

export const correction = defineJobCell({
  kind: "correction",
  label: "Correct the mix",
  about:
    "What is in the pot, in mL, and what a test panel of it reads: the smallest additions, of one to three pastes, that bring " +
    "it on target. Nothing can be taken out of a pot, so when no addition helps, it says so.",
  inputs: {
    coverage: { type: "coverage", label: "Coverage" },
    record: { type: "job-record", label: "Job record", optional: true },
  },
  parameters: {
    pot: {
      type: "value",
      label: "In the pot",
      help: "Empty: the recipe as it stands.",
      schema: v.nullable(potSchema),
      initial: null as Pot | null,
    },
    potVolume: {
      type: "number",
      label: "Mixed so far",
      unit: "mL",
      min: 1,
      max: 100_000,
      step: 10,
      digits: 1,
      initial: 250,
    },
    panel: {
      type: "choice",
      label: "The panel was",
      options: [
        { value: "none", label: "not measured yet" },
        { value: "spectrum", label: "measured as a spectrum" },
        { value: "lab", label: "read as Lab, as the viewing cell looks" },
      ],
      initial: "none",
    },
    spectrum: {
      type: "value",
      label: "Spectrum of the panel",
      schema: v.nullable(spectrumSchema),
      initial: null as SpectrumParameter | null,
    },
    L: { type: "number", label: "L*", min: 0, max: 100, step: 0.1, digits: 2, initial: 40 },
    a: { type: "number", label: "a*", min: -128, max: 128, step: 0.1, digits: 2, initial: 50 },
    b: { type: "number", label: "b*", min: -128, max: 128, step: 0.1, digits: 2, initial: 30 },
    /** Lab of the panel of which nobody has typed anything yet. */
    awaited: {
      type: "toggle",
      label: "Lab of the panel still to be typed",
      initial: false,
    },
    specular: specularParameter,
    readFor: {
      type: "value",
      label: "Lab of the panel stated for",
      help: "Empty: for the light and observer of the viewing cell.",
      schema: v.nullable(
        v.strictObject({
          observer: v.picklist(["1931-2", "1964-10"]),
          illuminant: v.picklist(illuminantNames, "a light of the table is allowed"),
        }),
      ),
      initial: null as { observer: ObserverName; illuminant: string } | null,
    },
    panelPart: {
      type: "number",
      label: "The panel is",
      help: "0: so thick that it hides everything. 1, 2, …: coats as planned over the ground of that part.",
      whole: true,
      min: 0,
      max: 64,
      step: 1,
      initial: 1,
    },
    maxGrowth: {
      type: "number",
      label: "The batch may grow by",
      unit: "%",
      min: 1,
      max: 300,
      step: 5,
      initial: 50,
    },
    maxPastes: {
      type: "number",
      label: "Add at most",
      unit: "pastes",
      whole: true,
      min: 1,
      max: 3,
      step: 1,
      initial: 3,
    },
    measure: {
      type: "choice",
      label: "Pastes are added",
      options: [
        { value: "weighed", label: "on a balance" },
        { value: "dropped", label: "in drops, the binder on a balance" },
      ],
      initial: "weighed",
    },
    balanceStep: {
      type: "number",
      label: "Step of the balance",
      unit: "g",
      min: 0.001,
      max: 10,
      step: 0.01,
      digits: 3,
      initial: 0.01,
    },
    dropsPerMl: {
      type: "number",
      label: "Drops in one mL",
      help: "About 20 from a dropper; count your own onto the balance.",
      min: 2,
      max: 200,
      step: 1,
      digits: 1,
      initial: usualDropsPerMl,
    },
  },
  compute: async ({ coverage, record }, saved, context): Promise<CorrectedPot> => {
    const p = { ...saved, ...startOf(record) };
    const { recipe, viewing, parts, target, targetSeen } = coverage;
    if (!target || !targetSeen) {
      throw new InputError("There is no target to correct towards", {
        field: "coverage",
        wayOut: "Link a target to the coverage cell",
      });
    }
    checkPanel(p, parts.length);
    const components = [
      ...recipe.components,
      ...recipe.available.filter(
        (component) =>
          component.role === "paste" && !recipe.components.some((own) => own.id === component.id),
      ),
    ];
    const { binderIndex, finish, lights, surface, sheen } = matchOf(coverage, components);
    if (binderIndex < 0) {
      throw new InputError("The recipe has no binder", {
        field: "coverage",
        wayOut: "Add a binder to the recipe",
      });
    }
    const pot = potOf(p.pot, p.potVolume, coverage, components);
    const read = seeTarget(
      readingOf({ ...p, specular: specularOf(p.specular, target) }, coverage, context.note),
      viewing,
    );
    const trust = trustIn(components, pot);
    const request: CorrectionRequest = {
      ...(trust ? { trust } : {}),
      components,
      binderIndex,
      pot,
      panel: read.reflectance ? { kind: "spectrum", seen: read.reflectance } : { kind: "lab", Lab: read.Lab },
      panelFinish: p.panelPart === 0 ? { kind: "opaque" } : overGround(finish, p.panelPart - 1),
      target: targetSeen.reflectance
        ? { kind: "spectrum", seen: targetSeen.reflectance }
        : { kind: "lab", Lab: targetSeen.Lab },
      finish,
      lights: targetSeen.reflectance && read.reflectance ? lights : lights.slice(0, 1),
      surface,
      sheen,
      maxLoading: recipe.maxLoading,
      maxPastes: p.maxPastes,
      maxGrowth: p.maxGrowth / 100,
      tolerance: viewing.tolerance,
      ...(target.readSpread === undefined ? {} : { readingDoubt: target.readSpread }),
      units: components.map(({ role }) =>
        p.measure === "dropped" && role === "paste"
          ? { kind: "drops", dropsPerMl: p.dropsPerMl }
          : { kind: "grams", step: p.balanceStep },
      ),
    };
    const result = await context.run(correctionTask, request);
    return {
      correction: result,
      dropsPerMl: p.dropsPerMl,
      newMix: result.additions !== undefined && worstOf(result.additions.differences) > 2 * viewing.tolerance,
      coverage,
      components,
      pot,
      potVolume: pot.reduce((sum, volume) => sum + volume, 0),
      panelLab: read.Lab,
      panelXYZ: read.XYZ,
      targetXYZ: targetSeen.XYZ,
      read: readPanel(p, specularOf(p.specular, target), coverage),
    };
  },
  verdict: ({ correction: { additions, reason, differencesBefore }, newMix, panelXYZ, coverage }) => {
    const swatch = swatchOf(panelXYZ, coverage.viewing);
    const after = additions && `ΔE00 ${differenceText(worstOf(additions.differences))}`;
    if (newMix) {
      const [what] = reason.split(";");
      return {
        text: `Only a new mix. The pot is ${what}; additions within the limits still leave ${after}. The most they can do:`,
        figure: after,
        swatch,
      };
    }
    const told = `${reason[0].toUpperCase()}${reason.slice(1)}`;
    const figure = after ?? `ΔE00 ${differenceText(worstOf(differencesBefore))}`;
    return { text: /[.!?]$/.test(told) ? told : `${told}.`, figure, swatch };
  },
  summarise: ({ correction: result, components, newMix }) => ({
    status: newMix ? "only a new mix" : result.status,
    reason: result.reason,
    before: worstOf(result.differencesBefore),
    after: result.additions && worstOf(result.additions.differences),
    growth: result.additions?.growth,
    add: result.additions && additionList(result.additions, components),
    wayOut: result.wayOut,
    aim: result.aim,
  }),
  quantities: ({ correction: result }) => [
    difference("before", "ΔE00 of the worst part as the pot stands", worstOf(result.differencesBefore)),
    difference(
      "after",
      "ΔE00 of the worst part after the additions",
      result.additions && worstOf(result.additions.differences),
    ),
    amount("growth", "growth of the batch", result.additions && 100 * result.additions.growth, "%"),
  ],
});

export default correction;

/** What a linked job record says of pot and panel, in the place of what is typed here. */
function startOf(record: JobRecord | undefined) {
  if (!record) return {};
  const { pot, panel } = record.start;
  return {
    pot: [...pot],
    ...(panel
      ? {
          panel: "lab" as const,
          awaited: false,
          L: panel.L,
          a: panel.a,
          b: panel.b,
          specular: panel.specular,
          readFor: null,
          panelPart: panel.part,
        }
      : {}),
  };
}

/** What is added, greatest first. */
export function additionList(additions: Additions, components: readonly Component[]) {
  return [...additions.volumes.keys()]
    .filter((index) => additions.volumes[index] > 0)
    .sort((p, q) => additions.volumes[q] - additions.volumes[p])
    .map((index) => ({
      name: components[index].name,
      role: components[index].role,
      millilitres: additions.volumes[index],
      grams: additions.volumes[index] * components[index].density,
    }));
}

/** Greatest ΔE00 in the main light over the grounds. */
export function worstOf(differences: readonly Float64Array[]): number {
  return Math.max(...differences.map((row) => row[0]));
}

function potOf(
  saved: Pot | null,
  potVolume: number,
  { recipe }: Coverage,
  components: readonly Component[],
): Float64Array {
  const pot = new Float64Array(components.length);
  if (!saved) {
    const total = recipe.volumes.reduce((sum, volume) => sum + volume, 0);
    recipe.volumes.forEach((volume, j) => {
      pot[j] = (volume * potVolume) / total;
    });
    return pot;
  }
  for (const { component, volume } of saved) {
    const index = components.findIndex(({ id }) => id === component);
    if (index < 0) {
      throw new InputError(`"${component}" in the pot is not on the shelf`, {
        field: "pot",
        wayOut: "Put it back on the shelf, or start again from the recipe",
      });
    }
    pot[index] += volume;
  }
  if (pot.every((volume) => volume === 0)) {
    throw new InputError("The pot is empty", { field: "pot", wayOut: "Set at least one amount above 0 mL" });
  }
  return pot;
}
