import { InputError } from "../../src/graph/outcome.ts";
import { learntPanels } from "../../src/ledger/besideLedger.ts";
import type { KeptSay } from "../../src/ledger/keptSay.ts";
import { sayTask } from "../../src/ledger/longTasks.ts";
import type { PanelsSay } from "../../src/ledger/say.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { amount, difference } from "../../src/ports/quantities.ts";
import { jobOf, questionOf, requestOf, taughtComponent, taughtShelf, withBefore } from "./model/learn.ts";
import { type OwnPanel, parameters } from "./model/parameters.ts";
import { type PartThen, recipeThen } from "./model/recipeThen.ts";

/** Panels and what was learnt from them. */
export interface WhatPanelsSay {
  readonly panels: readonly OwnPanel[];
  readonly said: PanelsSay | undefined;
  /** Whether it was learnt from just these panels, and planned for just this job. */
  readonly isPresent: boolean;
  readonly isForThisJob: boolean;
  /** Whether the shelf has it already. */
  readonly isUsed: boolean;
  /** The job as it would be predicted then. */
  readonly parts: readonly PartThen[];
  readonly coverage: Coverage | undefined;
  readonly pigments: PigmentSet;
}

export const panelsSay = defineCell({
  kind: "panels-say",
  label: "What the panels say",
  about:
    "K and S of the whole shelf learnt together from every panel of known ingredients, with their doubt: how near each panel " +
    "lies to what all others say (ΔE00), which bottle is weak, what was mixed up. And which panel to make next for the job at hand.",
  inputs: {
    pigments: { type: "pigment-set", label: "Shelf" },
    coverage: { type: "coverage", label: "Job at hand", optional: true },
  },
  tells: ["panels"],
  parameters,
  compute: ({ pigments, coverage }, p, { note }): WhatPanelsSay => {
    const { learnt, panels } = p;
    const question = questionOf(p, pigments);
    const isPresent = learnt?.question === question;
    for (const text of learnt?.said.notes ?? []) note(text);
    if (learnt && learnt.said.taken < 0.3) {
      note(
        "the draws hardly moved: bands and plans cannot be relied on. Set aside panels that contradict the rest",
      );
    }
    return {
      panels,
      said: learnt?.said,
      isPresent,
      isForThisJob: learnt?.job === jobOf(coverage),
      isUsed: learnt !== null && p.used === learnt.question,
      parts: learnt && coverage ? recipeThen(coverage, (one) => taughtComponent(one, learnt, "")) : [],
      coverage,
      pigments,
    };
  },
  actions: {
    learn: {
      label: "Learn from the panels",
      run: async ({ pigments, coverage }, p, context) => {
        if (!pigments) throw new InputError("Link a pigment set first", { field: "pigments" });
        const said = (await context.run(sayTask, requestOf(p, pigments, coverage))) as KeptSay["said"];
        const before = withBefore(p.before, pigments, said);
        return {
          before,
          learnt: { question: questionOf({ ...p, before }, pigments), job: jobOf(coverage), said },
        };
      },
    },
    use: {
      label: "Use what the panels say",
      run: ({ pigments }, p, context) => {
        if (!pigments) throw new InputError("Link a pigment set first", { field: "pigments" });
        if (!p.learnt) {
          throw new InputError("Nothing was learnt yet", {
            field: "learnt",
            wayOut: "Press “Learn from the panels” first",
          });
        }
        context.also(pigments.cell, { added: taughtShelf(p, pigments), learntFrom: learntPanels(p.panels) });
        return { used: p.learnt.question };
      },
    },
  },
  summarise: ({ panels, said, isPresent, isUsed }) => ({
    panels: panels.length,
    learnt: isPresent ? "from these panels" : said ? "from other panels" : "not yet",
    onTheShelf: isUsed,
    off: said?.panels.map(({ id, off, band, contradicts, likely }) => ({
      panel: panels.find((one) => one.id === id)?.panel.label ?? id,
      off,
      band,
      contradicts,
      likely,
    })),
    errors: said?.errors,
    bottles: said?.bottles.map(({ paste, name, strength, jump }) => ({ paste, name, strength, jump })),
    job: said?.job,
    next: said?.next.map(({ plan, expected }) => ({ ...plan, expected })),
  }),
  quantities: ({ said, panels }) => {
    const errors = said?.errors ?? [];
    const jumps = said?.bottles.filter(({ jump }) => jump !== null) ?? [];
    const none = "not known before anything was learnt";
    return [
      difference("first-error", "ΔE00 of half the panels before any was in", errors[0]?.median, none),
      difference(
        "last-error",
        "ΔE00 of half the last panels before they were in",
        errors.at(-1)?.median,
        none,
      ),
      difference("job", "ΔE00 expected between the job and its prediction", said?.job ?? undefined, none),
      difference("job-next", "the same with the next panel", said?.next[0]?.expected, none),
      amount(
        "strength",
        "strength of the newest odd bottle beside the one before",
        percent(jumps.at(-1)?.jump),
        "%",
        0,
      ),
      amount("panels", "panels", panels.length, "", 0),
      amount(
        "contradicting",
        "panels that contradict the rest",
        said?.panels.filter((one) => one.contradicts).length,
        "",
        0,
      ),
    ];
  },
});

export default panelsSay;

const percent = (share: number | null | undefined) => (share ? 100 * share : undefined);
