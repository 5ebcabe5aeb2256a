import { Eye } from "../../src/coating/eye.ts";
import { buildUp, coatsWithin, groundReflectance, type PaintedStep } from "../../src/coating/paintedPart.ts";
import { buildWarning } from "../../src/coating/thickness.ts";
import { deltaE2000, differenceOf } from "../../src/colour/difference.ts";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import { sumOf } from "../../src/fit/sumOf.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { reflectivityInto } from "../../src/optics/film.ts";
import { modelDoubt } from "../../src/optics/modelError.ts";
import { coatsOn, coatsWords, type OwnCoats, wetsOnOf } from "../../src/ports/coatPlan.ts";
import type { ComparedStep, Coverage, CoveragePart } from "../../src/ports/coverage.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { eyeConditions, seeTarget } from "../../src/ports/seenTarget.ts";
import { swatchOf } from "../../src/ports/swatch.ts";
import { hidingOf } from "./model/hiding.ts";
import { LabDoubtOf } from "./model/labDoubt.ts";
import { coverageQuantities } from "./model/quantities.ts";

export const coverage = defineCell({
  kind: "coverage",
  label: "Coverage",
  about:
    "Every part as it will look, coat by coat, with the basecoat and without it, as ΔE to the target. " +
    "Tells how many coats each part needs and how thick the film gets, in µm.",
  inputs: {
    recipe: { type: "recipe", label: "Recipe" },
    plan: { type: "coat-plan", label: "Coat plan" },
    parts: { type: "substrate", label: "Parts", many: true },
    viewing: { type: "viewing", label: "Viewing" },
    basecoat: { type: "basecoat", label: "Basecoat", optional: true },
    target: { type: "target", label: "Target", optional: true },
  },
  output: "coverage",
  tells: ["colour"],
  parameters: {
    coatsTried: {
      type: "number",
      label: "Try up to",
      unit: "coats",
      help: "Coats beyond the plan repeat its last one.",
      whole: true,
      min: 1,
      max: 24,
      step: 1,
      initial: 10,
    },
  },
  compute: ({ recipe, plan, parts, viewing, basecoat, target }, { coatsTried }, { note }): Coverage => {
    if (parts.length === 0) {
      throw new InputError("No parts are linked", { field: "parts", wayOut: "Link at least one part" });
    }
    const eye = new Eye(eyeConditions(viewing));
    const difference = differenceOf(viewing.formula);
    const targetSeen = target && seeTarget(target, viewing);
    const dryOn = (part: OwnCoats, coats: number) =>
      wetsOnOf(plan, part, coats).map((wet) => wet * recipe.mix.volumeSolids);
    const dryThicknesses = dryOn({}, Math.max(plan.coats.length, coatsTried));
    const opaqueInternal = new Float64Array(recipe.absorption.length);
    reflectivityInto(recipe.absorption, recipe.scattering, opaqueInternal);
    const opaque = eye.see(opaqueInternal);
    const film = basecoat && basecoat.coats > 0 ? basecoat : undefined;
    const compare = (steps: PaintedStep[]): ComparedStep[] =>
      steps.map((step) => ({
        ...step,
        difference: targetSeen && difference(targetSeen.Lab, step.Lab),
        toOpaque: deltaE2000(opaque.Lab, step.Lab),
      }));
    const coats = (steps: ComparedStep[], of: (step: ComparedStep) => number) =>
      coatsWithin(steps.map(of), viewing.tolerance);
    const done = parts.map((substrate): CoveragePart => {
      const ground = groundReflectance(substrate.internal, film);
      const planned = coatsOn(plan, substrate).length;
      const dry = dryOn(substrate, Math.max(planned, coatsTried));
      const steps = compare(buildUp(ground, recipe, dry, eye));
      const bareSteps = film ? compare(buildUp(substrate.internal, recipe, dry, eye)) : steps;
      const toTarget = (step: ComparedStep) => step.difference ?? Number.POSITIVE_INFINITY;
      return {
        substrate,
        ground,
        groundSeen: eye.see(ground),
        steps,
        bareSteps,
        painted: steps[planned],
        bare: bareSteps[planned],
        coatsToTarget: coats(steps, toTarget),
        coatsToTargetBare: coats(bareSteps, toTarget),
        coatsToHide: coats(steps, (step) => step.toOpaque),
        coatsToHideBare: coats(bareSteps, (step) => step.toOpaque),
        ...LabDoubtOf(substrate, film, recipe, steps[planned], eye),
      };
    });
    let worst = 0;
    for (let i = 1; i < done.length; i++) {
      if ((done[i].painted.difference ?? 0) > (done[worst].painted.difference ?? 0)) worst = i;
    }
    const colourDryThickness = sumOf(dryThicknesses.subarray(0, plan.coats.length));
    const thickest = Math.max(...done.map(({ painted }) => painted.dryThickness));
    const dryBuild = thickest + (film?.dryThickness ?? 0);
    const warning = buildWarning(dryBuild);
    if (warning) note(warning);
    const { absorption, scattering } = recipe;
    const doubt =
      modelDoubt(absorption, scattering, colourDryThickness) ?? modelDoubt(absorption, scattering, thickest);
    if (doubt) note(doubt);
    return {
      recipe,
      basecoat: film,
      colourCoats: plan,
      dryThicknesses,
      target,
      targetSeen,
      viewing,
      parts: done,
      opaque: { ...opaque, difference: targetSeen && difference(targetSeen.Lab, opaque.Lab) },
      opaqueInternal,
      worst,
      hiding: hidingOf(recipe, colourDryThickness, eye),
      colourDryThickness,
      dryBuild,
    };
  },
  verdict: ({ parts, viewing, targetSeen, worst, colourCoats }) => {
    const substrates = parts.map((part) => part.substrate);
    if (!targetSeen) return { text: "Link a target to see how close the parts come." };
    const { painted, substrate } = parts[worst];
    const figure = `${viewing.formula} ${differenceText(painted.difference)}`;
    const after = `After ${coatsWords(colourCoats, substrates)}`;
    return {
      text:
        (painted.difference ?? 0) <= viewing.tolerance
          ? `${after} every part passes: the worst is ${substrate.name} with ${figure}.`
          : `${after} ${substrate.name} misses the target: ${figure}, ${tradeWords(targetSeen.Lab, painted.Lab).text}.`,
      figure,
      swatch: swatchOf(painted.XYZ, viewing),
    };
  },
  summarise: (value) => ({
    parts: value.parts.map((part) => ({
      name: part.substrate.name,
      difference: part.painted.difference,
      withoutBasecoat: part.bare.difference,
      Lab: [...part.painted.Lab],
      coatsToTarget: part.coatsToTarget ?? null,
      coatsToTargetWithoutBasecoat: part.coatsToTargetBare ?? null,
      ...(part.LabDoubt === undefined ? {} : { LabDoubt: part.LabDoubt }),
    })),
    dryBuild: value.dryBuild,
    hiding: value.hiding,
  }),
  quantities: coverageQuantities,
});

export default coverage;
