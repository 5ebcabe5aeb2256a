import { atRimOfSpace, type Circle, type CircleSample, sampleCircle } from "./circleSample.ts";
import { type ColourFit, fitColours, fittedLab, fittedXYZ } from "./colourFit.ts";
import { type ErrorEstimate, errorEstimate, type PhotoLight } from "./errorEstimate.ts";
import { type FallOff, fallOffOf } from "./fallOff.ts";
import { type Picture, XYZToLinear } from "./pictureSpace.ts";

/** A circle on a patch of known colour. */
export interface PatchCircle {
  readonly label: string;
  readonly circle: Circle;
  /** Known CIELAB in the light that the colours are wanted for. */
  readonly Lab: ArrayLike<number>;
}

/** A circle on a part whose colour is wanted. */
export interface PartCircle {
  readonly label: string;
  readonly circle: Circle;
}

export interface PhotoQuestion {
  /** Circles on one uniform card at different places, to see how the light falls off; may be empty. */
  readonly cards: readonly Circle[];
  readonly patches: readonly PatchCircle[];
  readonly parts: readonly PartCircle[];
  /** XYZ of the white in the light that the colours are wanted for, Y = 100. */
  readonly white: ArrayLike<number>;
  /**
   * Whether the photograph was taken in that light. When the light of the scene is known, it is better to ask for the
   * colours in that light and to carry them to another by a curve (`curveSpread`) than to say "other".
   */
  readonly light: PhotoLight;
}

export interface PartColour {
  readonly label: string;
  readonly sample: CircleSample;
  readonly XYZ: Float64Array;
  /** In the light of the known patches. */
  readonly Lab: Float64Array;
  readonly error: ErrorEstimate;
  /** The colour lies at or beyond the rim of the picture's space: it may be more saturated than read. */
  readonly beyondSpace: boolean;
  /** What to tell the user about this colour, the error first. */
  readonly notes: readonly string[];
}

/** A circle that could not be used, and why. */
export interface RefusedCircle {
  readonly label: string;
  readonly reasons: readonly string[];
}

export interface PhotoAnswer {
  readonly fallOff: FallOff;
  /** undefined when no patch of known colour could be used */
  readonly fit: ColourFit | undefined;
  readonly parts: readonly PartColour[];
  readonly refused: readonly RefusedCircle[];
  readonly notes: readonly string[];
}

/** A colour this near to the end of a channel, as a share of its range, is at the rim of the space. */
const rim = 0.002;

/**
 * Colours of parts in a photograph that also shows patches of known colour: samples the circles, takes out the fall-off
 * of the light, fits the correction on the patches and applies it to the parts, each with an error estimate.
 *
 * @throws RangeError, TypeError for circles outside the picture or known colours that cannot be
 */
export function photoColours(picture: Picture, question: PhotoQuestion): PhotoAnswer {
  const refused: RefusedCircle[] = [];
  const notes: string[] = [];
  const fallOff = fallOffOf(question.cards.map((circle) => sampleCircle(picture, circle)));
  const evened = (sample: CircleSample): Float64Array => {
    const light = fallOff.lightAt(sample.circle.x, sample.circle.y);
    return sample.rgb.map((value) => value / light);
  };

  const sampled = question.patches.map((patch) => ({ patch, sample: sampleCircle(picture, patch.circle) }));
  for (const { patch, sample } of sampled) {
    if (sample.refusals.length > 0) refused.push({ label: patch.label, reasons: sample.refusals });
  }
  const usable = sampled.filter(({ sample }) => sample.refusals.length === 0);
  const whole = usable.filter(({ sample }) => !atRimOfSpace(sample));
  for (const { patch } of usable.filter(({ sample }) => atRimOfSpace(sample))) {
    refused.push({
      label: patch.label,
      reasons: [
        "left out of the correction: as saturated as the picture can hold, its true colour is cut off",
      ],
    });
  }
  let fit: ColourFit | undefined;
  if (whole.length === 0) notes.push("no patch of known colour could be used: sample a grey card or a chart");
  else {
    fit = fitColours(
      whole.map(({ patch, sample }) => ({ label: patch.label, rgb: evened(sample), Lab: patch.Lab })),
      question.white,
      picture.space,
    );
    notes.push(...fit.notes);
    if (whole.length === 1) {
      notes.push("corrected with one patch only: greys will be right, strong colours only roughly");
    }
  }
  if (question.light === "other") {
    notes.push(
      "photographed in another light than the colours are wanted for: strong colours may be well off",
    );
  }

  const parts: PartColour[] = [];
  for (const { label, circle } of question.parts) {
    const sample = sampleCircle(picture, circle);
    if (sample.refusals.length > 0) refused.push({ label, reasons: sample.refusals });
    else if (fit !== undefined) parts.push(partColour(label, sample, evened(sample), fit, fallOff, question));
  }
  return { fallOff, fit, parts, refused, notes: [...fallOff.notes, ...notes] };
}

function partColour(
  label: string,
  sample: CircleSample,
  rgb: Float64Array,
  fit: ColourFit,
  fallOff: FallOff,
  { white, light }: PhotoQuestion,
): PartColour {
  const XYZ = fittedXYZ(fit, rgb);
  const inSpace = XYZToLinear(XYZ, white, fit.space);
  const beyondSpace = atRimOfSpace(sample) || inSpace.some((value) => value < rim || value > 1 - rim);
  const error = errorEstimate(fit, rgb, sample, fallOff.residual, light);
  const likely = `likely within ΔE00 ${error.ninety.toFixed(1)} of the true colour`;
  const notes = [
    beyondSpace
      ? `at least ΔE00 ${error.ninety.toFixed(1)} in doubt: more saturated than the picture's space can hold`
      : likely,
  ];
  return {
    label,
    sample,
    XYZ,
    Lab: fittedLab(fit, rgb),
    error,
    beyondSpace,
    notes: [...notes, ...sample.notes],
  };
}
