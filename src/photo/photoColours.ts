import { atRimOfSpace, type CircleSample } from "./circleSample.ts";
import { type ColourFit, fitColours, fittedLab, fittedXYZ, type KnownPatch } from "./colourFit.ts";
import { type ErrorEstimate, errorEstimate, type PhotoLight } from "./errorEstimate.ts";
import { type FallOff, fallOffOf } from "./fallOff.ts";
import { type PictureSpace, XYZToLinear } from "./pictureSpace.ts";

/** Known and wanted colours of a photograph, its circles already sampled: no picture is needed to answer. */
export interface SampledQuestion {
  /** XYZ of the white in the light that the colours are wanted for, Y = 100. */
  readonly white: ArrayLike<number>;
  /**
   * Whether the photograph was taken in that light. When the light of the scene is known, it is better to ask for the
   * colours in that light and to carry them to another by a curve (`curveSpread`) than to say "other".
   */
  readonly light: PhotoLight;
  readonly cards: readonly CircleSample[];
  /** Several samples of one patch, such as a card at several places, are averaged. */
  readonly patches: readonly {
    readonly label: string;
    readonly samples: readonly CircleSample[];
    readonly Lab: ArrayLike<number>;
  }[];
  readonly parts: readonly { readonly label: string; readonly sample: CircleSample }[];
  readonly space: PictureSpace;
}

interface PartColour {
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
interface RefusedCircle {
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
 * Colours of parts in a photograph that also shows patches of known colour, from samples of its circles: takes out the
 * fall-off of the light, fits the correction on the patches and applies it to the parts, each with an error estimate.
 *
 * @throws RangeError for known colours that cannot be
 */
export function coloursOfSamples(question: SampledQuestion): PhotoAnswer {
  const refused: RefusedCircle[] = [];
  const notes: string[] = [];
  const fallOff = fallOffOf(question.cards);
  const evened = (sample: CircleSample): Float64Array => {
    const light = fallOff.lightAt(sample.circle.x, sample.circle.y);
    return sample.rgb.map((value) => value / light);
  };

  const whole: KnownPatch[] = [];
  for (const { label, samples, Lab } of question.patches) {
    const usable = samples.filter(({ refusals }) => refusals.length === 0);
    const inside = usable.filter((sample) => !atRimOfSpace(sample));
    if (inside.length > 0) whole.push({ label, rgb: meanOf(inside.map(evened)), Lab });
    else if (usable.length > 0) {
      const reason =
        "left out of the correction: as saturated as the picture can hold, its true colour is cut off";
      refused.push({ label, reasons: [reason] });
    } else refused.push({ label, reasons: [...new Set(samples.flatMap(({ refusals }) => refusals))] });
  }
  let fit: ColourFit | undefined;
  if (whole.length === 0) notes.push("no patch of known colour could be used: sample a grey card or a chart");
  else {
    fit = fitColours(whole, question.white, question.space);
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
  for (const { label, sample } of question.parts) {
    if (sample.refusals.length > 0) refused.push({ label, reasons: sample.refusals });
    else if (fit !== undefined) parts.push(partColour(label, sample, evened(sample), fit, fallOff, question));
  }
  return { fallOff, fit, parts, refused, notes: [...fallOff.notes, ...notes] };
}

function meanOf(triples: readonly Float64Array[]): Float64Array {
  return Float64Array.from({ length: 3 }, (_, c) =>
    triples.reduce((sum, triple) => sum + triple[c] / triples.length, 0),
  );
}

function partColour(
  label: string,
  sample: CircleSample,
  rgb: Float64Array,
  fit: ColourFit,
  fallOff: FallOff,
  { white, light }: Pick<SampledQuestion, "white" | "light">,
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
