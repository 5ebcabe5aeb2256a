import type { Component } from "../../../src/coating/component.ts";
import { sumOf } from "../../../src/fit/sumOf.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import { type PanelPaint, panelLab } from "../../../src/judgement/nextPour.ts";
import { panelDoubt } from "../../../src/judgement/panelDoubt.ts";
import { type AxisWords, axisWords, type Judgement, type Step } from "../../../src/judgement/stepWords.ts";
import { wetsOn } from "../../../src/ports/coatPlan.ts";
import type { Coverage } from "../../../src/ports/coverage.ts";
import type { EyePanel, Poured, SaidStep } from "../../../src/ports/eyePanels.ts";
import { partNumbered } from "../../../src/ports/partParameter.ts";
import { coatsOver } from "../../../src/recipes/finish.ts";

/** A panel as the film model sees it. */
export interface ModelledPanel {
  readonly kept: EyePanel;
  readonly paint: PanelPaint;
  /** mL of each component of the shelf. */
  readonly volumes: Float64Array;
  readonly Lab: Float64Array;
  readonly doubt: number;
  readonly words: readonly [AxisWords, AxisWords, AxisWords];
  /** Undefined while a word is missing. */
  readonly judgement: Judgement | undefined;
}

/** The mix's own components first, then every other paste of its shelf. */
export function shelfOf({ recipe }: Coverage): readonly Component[] {
  return [
    ...recipe.components,
    ...recipe.available.filter(
      ({ role, id }) => role === "paste" && !recipe.components.some((own) => own.id === id),
    ),
  ];
}

/**
 * What a panel is painted with and on.
 * @throws InputError for a part or a number of coats that the coverage cell does not have, or a mix without a binder
 */
function paintOf(
  coverage: Coverage,
  components: readonly Component[],
  { part, coats }: Pick<EyePanel, "part" | "coats">,
): PanelPaint {
  const { recipe, viewing, colourCoats } = coverage;
  const binderIndex = components.findIndex(({ role }) => role === "binder");
  if (binderIndex < 0) {
    throw new InputError("The recipe has no binder", {
      field: "coverage",
      wayOut: "Add a binder to the recipe",
    });
  }
  const laid = part === 0 ? undefined : partNumbered(coverage, part, "panels");
  const wet = laid ? wetsOn(colourCoats, laid.substrate) : colourCoats.wetThicknesses;
  if (coats !== null && coats > wet.length) {
    throw new InputError(`A panel has ${coats} coats, but ${wet.length} are planned`, {
      field: "panels",
      wayOut: "Plan as many coats as were sprayed, or correct the panel",
    });
  }
  return {
    components,
    binderIndex,
    finish: laid ? coatsOver(sumOf(wet.subarray(0, coats ?? wet.length)), [laid.ground]) : { kind: "opaque" },
    weights: viewing.weights,
    surface: viewing.surface,
    sheen: viewing.sheen,
    maxLoading: recipe.maxLoading,
  };
}

/** mL of each component of the shelf. @throws InputError for a component that is not on it, or for no amount at all */
function volumesOf(poured: Poured, components: readonly Component[]): Float64Array {
  const volumes = new Float64Array(components.length);
  for (const { component, volume } of poured) {
    const index = components.findIndex(({ id }) => id === component);
    if (index < 0) {
      throw new InputError(`"${component}" was poured, but is not on the shelf`, {
        field: "panels",
        wayOut: "Put it back on the shelf, or correct what was poured",
      });
    }
    volumes[index] += volume;
  }
  if (volumes.every((volume) => volume === 0)) {
    throw new InputError("A panel has nothing poured", {
      field: "panels",
      wayOut: "Set at least one amount above 0 mL, or remove the panel",
    });
  }
  return volumes;
}

/** Amounts as kept with a panel, to a hundredth of a drop. */
export function pouredOf(volumes: ArrayLike<number>, components: readonly Component[]): Poured {
  return components.flatMap(({ id }, j) => {
    const volume = Math.round(volumes[j] * 1e4) / 1e4;
    return volume > 0 ? [{ component: id, volume }] : [];
  });
}

/** A kept panel by the film model: its colour, its doubt and the words it is judged by. */
export function modelled(
  coverage: Coverage,
  components: readonly Component[],
  kept: EyePanel,
): ModelledPanel {
  const paint = paintOf(coverage, components, kept);
  const volumes = volumesOf(kept.poured, components);
  const Lab = panelLab(paint, volumes);
  return {
    kept,
    paint,
    volumes,
    Lab,
    doubt: panelDoubt(paint, volumes),
    words: axisWords(Lab),
    judgement: judgementOf(kept.steps),
  };
}

/** What was said of a panel; undefined while a word is missing. */
export function judgementOf(steps: readonly SaidStep[]): Judgement | undefined {
  if (steps.some((step) => step === null)) return undefined;
  return steps.map((step) => (step === "cannot judge" ? null : step) as Step) as unknown as Judgement;
}
