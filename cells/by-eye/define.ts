import { LabToXYZ, XYZToLab } from "../../src/colour/Lab.ts";
import { differenceText } from "../../src/graph/numbers.ts";
import { InputError } from "../../src/graph/outcome.ts";
import { stepText } from "../../src/judgement/stepWords.ts";
import { defineCell } from "../../src/ports/defineCell.ts";
import { type EyePair, type EyePanel, pairsSchema, panelsSchema } from "../../src/ports/eyePanels.ts";
import { mixtureFor, type StatedLab, smoothestFor } from "../../src/ports/labCurve.ts";
import { amount, colourQuantities, difference, share } from "../../src/ports/quantities.ts";
import { seeTarget } from "../../src/ports/seenTarget.ts";
import { swatchOfLab } from "../../src/ports/swatch.ts";
import type { AssumedCurve, LabTarget, Target } from "../../src/ports/target.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { plural } from "../../src/words/plural.ts";
import { type EyeReport, reportOf } from "./model/report.ts";

/** A target known by eye, or by the reading that took its place, and all that it was told from. */
export type ByEye = Target & { readonly eye: EyeReport };

export const byEye = defineCell({
  kind: "by-eye",
  label: "By eye",
  about:
    "Test panels held beside the reference and judged in words become a target with its doubt (CIELAB, ΔE00), and say what " +
    "to pour next (mL), with the chance that the eye can no longer tell. Judge dry panels of equal gloss, all in one light.",
  inputs: {
    coverage: { type: "coverage", label: "First panel: its recipe, ground and coats" },
    reading: { type: "target", label: "Reference, measured later", optional: true },
  },
  output: "target",
  parameters: {
    panels: {
      type: "value",
      label: "Panels",
      help: "What was poured for each panel, and how it looks beside the reference.",
      schema: panelsSchema,
      initial: [] as EyePanel[],
    },
    pairs: {
      type: "value",
      label: "Judged and measured",
      help: "Panels whose colour and whose reference's colour were both measured; they tell how sharp this eye is.",
      schema: pairsSchema,
      initial: [] as EyePair[],
    },
    pour: {
      type: "choice",
      label: "Next panel",
      options: [
        { value: "any", label: "whatever has the best chance" },
        { value: "addition", label: "additions to the pot" },
        { value: "test mix", label: "a fresh test mix" },
      ],
      initial: "any",
    },
    potVolume: {
      type: "number",
      label: "Left in the pot",
      unit: "mL",
      help: "Of the mix that was judged last; additions are worked out for so much.",
      min: 1,
      max: 100_000,
      step: 5,
      digits: 1,
      initial: 50,
    },
    mixVolume: {
      type: "number",
      label: "A test mix is",
      unit: "mL",
      min: 1,
      max: 10_000,
      step: 5,
      digits: 1,
      initial: 20,
    },
    pastes: {
      type: "choice",
      label: "Pour from",
      options: [
        { value: "recipe", label: "the pastes of the recipe and of the panels" },
        { value: "shelf", label: "every paste on the shelf" },
      ],
      initial: "recipe",
    },
    curve: {
      type: "choice",
      label: "A curve for other lights",
      help: "The eye saw one light. A curve with this colour tells of other lights, but it is one of many.",
      options: [
        { value: "mixture", label: "like a mixture of the pastes" },
        { value: "smoothest", label: "the smoothest one" },
        { value: "none", label: "none: this light alone" },
      ],
      initial: "mixture",
    },
  },
  compute: async ({ coverage, reading }, p, { note, title, run }): Promise<ByEye> => {
    const { viewing } = coverage;
    const { observer, illuminant } = viewing.weights;
    const elsewhere = p.panels.filter(({ light }) => light !== illuminant).length;
    if (elsewhere > 0) {
      note(
        `${elsewhere} of the panels ${elsewhere === 1 ? "was" : "were"} judged in another light than the viewing cell's ` +
          "and left out: one light for one cloud",
      );
    }
    const eye = reportOf(coverage, p, reading && seeTarget(reading, viewing).Lab);
    if (!eye) {
      throw new InputError("No panel is judged yet", {
        toGive: true,
        field: "panels",
        wayOut: "Hold the first panel beside the reference and press a word on each line",
      });
    }
    if (eye.cloud.random) {
      note(
        "These words contradict one another as words pressed at random would: little can be built on them",
      );
    }
    for (const { panel, axis, said, expected } of eye.odd) {
      const words = eye.judged[panel].words[axis];
      note(
        `Panel ${panel + 1}: "${stepText(said, words)}" does not go with the other words, which lead one to expect ` +
          `"${stepText(expected, words)}"`,
      );
    }
    if (reading) {
      note("The reading has taken the place of the judgements; it grades the eye");
      return { ...reading, eye };
    }
    const stated: StatedLab = {
      Lab: withoutSurface(eye.cloud.Lab.mean, viewing),
      observer,
      illuminant,
      specular: "excluded",
    };
    const value: LabTarget = {
      kind: "lab",
      label: title,
      ...stated,
      Lab: Float64Array.from(stated.Lab),
      doubt: eye.cloud.within,
    };
    const curve = await curveFor(p.curve, stated);
    return { ...value, ...(curve ? { curve } : {}), eye };

    async function curveFor(kind: typeof p.curve, lab: StatedLab): Promise<AssumedCurve | undefined> {
      if (kind === "none") return undefined;
      if (kind === "smoothest") return smoothestFor(lab, note);
      const { components } = coverage.recipe;
      const set = { cell: "", added: [], name: "the recipe", components };
      return mixtureFor(lab, set, run, note);
    }
  },
  verdict: ({ eye: { cloud, ending, grade, judged, coverage } }) => {
    const { weights } = coverage.viewing;
    const swatch = swatchOfLab(cloud.Lab.mean, weights);
    if (grade) {
      const figure = `ΔE00 ${differenceText(grade.difference)}`;
      return {
        text:
          `The reading lies ${figure} from what the eye said, ${grade.held ? "inside" : "outside"} the region. ` +
          `The last panel is ΔE00 ${differenceText(grade.lastPanel)} from it. From here on the reading is the target.`,
        figure,
        swatch,
      };
    }
    if (cloud.random) {
      const figure = "These words contradict one another";
      return {
        text: `${figure}, as words pressed at random would. Judge the panels again, in one light, dry, with a rest for the eye between.`,
        figure,
        swatch,
      };
    }
    if (ending) {
      const panel = ending.panel + 1;
      const figure =
        ending.why === "cannot tell"
          ? `The eye cannot tell panel ${panel} from the reference.`
          : `Panel ${panel} is likely nearer than the eye can tell.`;
      return {
        text: `${figure} A difference of ΔE00 ${differenceText(ending.couldHide)} could still hide (nine of ten; half: ${differenceText(ending.half)}).`,
        figure,
        swatch,
      };
    }
    const figure = `ΔE00 ${differenceText(cloud.within)}`;
    return {
      text: `After ${plural(judged.length, "panel")} the reference lies within ${figure} of the middle of the cloud, nine times of ten.`,
      figure,
      swatch,
    };
  },
  summarise: (value) => summaryOf(value.eye),
  quantities: ({ eye }) => [
    ...colourQuantities("", "the reference by eye", eye.cloud.Lab.mean),
    difference("within", "ΔE00 within which the reference lies in 90 %", eye.cloud.within),
    difference("could-hide", "ΔE00 that could still hide", eye.ending?.couldHide, "the eye can still tell"),
    share("match-chance", "chance that the next panel cannot be told", eye.next?.best.matchChance, 0),
    amount("panels", "panels judged", eye.judged.length, "", 0),
    amount(
      "coarseness",
      "scatter of this eye beside an ordinary one",
      eye.sharpness.coarseness.middle,
      "",
      2,
    ),
  ],
});

export default byEye;

/** The colour as an instrument reads it that leaves the surface reflection out: the eye saw a share of it, the sheen. */
function withoutSurface(Lab: Float64Array, { weights, surface, sheen }: Viewing): Float64Array {
  const XYZ = LabToXYZ(Lab, weights.white, new Float64Array(3));
  for (let i = 0; i < 3; i++) {
    XYZ[i] = Math.max(1e-6, XYZ[i] - sheen * surface.externalReflection * weights.white[i]);
  }
  return XYZToLab(XYZ, weights.white, new Float64Array(3));
}

function summaryOf({
  judged,
  rounds,
  cloud,
  odd,
  sharpness,
  gradedWords,
  ending,
  next,
  grade,
  components,
}: EyeReport) {
  return {
    Lab: [...cloud.Lab.mean],
    within: cloud.within,
    panels: judged.map(({ Lab, words, judgement, kept }, k) => ({
      poured: Object.fromEntries(kept.poured.map(({ component, volume }) => [component, volume])),
      Lab: [...Lab],
      words: judgement!.map((step, axis) => stepText(step, words[axis])),
      withinAfterwards: rounds[k].within,
    })),
    contradictions: odd.map(({ panel, axis, said, expected }) => ({
      panel: panel + 1,
      said: stepText(said, judged[panel].words[axis]),
      expected: stepText(expected, judged[panel].words[axis]),
    })),
    randomWords: cloud.random,
    eye: { verdict: sharpness.verdict, coarseness: sharpness.coarseness, gradedWords },
    ...(ending ? { cannotTell: true, couldHide: ending.couldHide } : {}),
    ...(next
      ? {
          next: {
            kind: next.best.kind,
            why: next.best.why,
            pour: components.flatMap(({ id }, j) =>
              next.best.volumes[j] > 1e-3 ? [{ component: id, millilitres: next.best.volumes[j] }] : [],
            ),
            matchChance: next.best.matchChance,
            twinChance: next.best.twinChance,
            tells: next.best.told,
          },
        }
      : {}),
    ...(grade ? { grade } : {}),
  };
}
