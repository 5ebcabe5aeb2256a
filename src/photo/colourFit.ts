import { triple } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import {
  type Correction,
  correctedLab,
  correctedXYZ,
  type Design,
  type FitModel,
  fitDesign,
  gainsOf,
  type PatchEquation,
  patchEquation,
  type WantedLight,
} from "./colourModels.ts";
import { linearToXYZMatrix, type PictureSpace } from "./pictureSpace.ts";

/** A patch of known colour as the picture shows it. */
export interface KnownPatch {
  readonly label: string;
  /** Mean linear red, green, blue with the fall-off of the light taken out. */
  readonly rgb: ArrayLike<number>;
  /** Known CIELAB in the light that the colours are wanted for. */
  readonly Lab: ArrayLike<number>;
}

/** How well a known patch comes back. */
interface PatchResidual {
  readonly label: string;
  /** The known colour. */
  readonly Lab: Float64Array;
  /** ΔE00 between the known colour and the one read with the fit. */
  readonly deltaE: number;
  /** The same with a fit made without this patch; undefined with one patch only. */
  readonly deltaEWithout: number | undefined;
}

/** A correction from picture values to colour. */
export interface ColourFit extends Correction {
  readonly space: PictureSpace;
  /** XYZ of the white in the light that the colours are wanted for, Y = 100. */
  readonly white: Float64Array;
  readonly residuals: readonly PatchResidual[];
  /** What the near-neutral patches ask for over what the picture shows, per channel. */
  readonly gains: Float64Array;
  readonly notes: readonly string[];
}

/** Fewest patches for each model, the largest model first. */
const fewestPatches: readonly (readonly [FitModel, number])[] = [
  ["root polynomial", 12],
  ["3×3 matrix", 4],
  ["white balance", 1],
];
/** Pulls towards the plain white balance that are tried, strongest first. */
const pulls = [0.03, 0.003, 0.0003] as const;
/** A contrast other than linear is looked for with at least so many patches, brightest over darkest at least so much. */
const toneNeeds = { patches: 6, range: 5 } as const;
const tones = [0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1.05, 1.1, 1.15, 1.2, 1.25, 1.3, 1.35, 1.4] as const;
/** Undoing the contrast must lower the error of patches left out to this share, or it is not worth its freedom. */
const worthIt = 0.95;

/**
 * The correction that carries the picture's values of known patches to their known colours: gains of the three channels
 * for one to three patches, a 3×3 matrix for four or more, a root polynomial for twelve or more. The errors of CIELAB
 * are minimised (linearised at the known colours). The larger models are pulled towards the gains. How strongly, whether
 * a larger model is worth it, and whether the picture's contrast has to be undone is decided by leaving out each patch
 * in turn.
 *
 * @param patches with labels that differ   @param white XYZ of the white in the light of the known colours, Y = 100
 * @throws RangeError for no patches, a patch without light, or known colours that are no surface colours
 * Source: root polynomial: Finlayson, Mackiewicz, Hurlbert, Color correction using root-polynomial regression, IEEE
 * Trans. Image Process. 24, 2015 (degree 2; from memory); it keeps colours when the exposure changes.
 */
export function fitColours(
  patches: readonly KnownPatch[],
  white: ArrayLike<number>,
  space: PictureSpace,
): ColourFit {
  triple("white", white);
  if (patches.length === 0) {
    throw new RangeError("no patch of known colour: sample a grey card or chart first");
  }
  patches.forEach(checkPatch);
  const light = { white: Float64Array.from(white), toWanted: linearToXYZMatrix(white, space) };
  const equations = patches.map(({ rgb, Lab }) => patchEquation(rgb, Lab, light, space));
  const largest = fewestPatches.find(([, count]) => patches.length >= count)![0];
  const notes: string[] = [];
  let best = bestModel(equations, light);
  if (best.design.model !== largest) {
    notes.push(
      `${best.design.model} used: with these ${patches.length} patches a ${largest} predicts a patch left out no better`,
    );
  }
  const straightened = bestTone(best, equations, light);
  if (straightened) {
    best = straightened;
    notes.push(
      `the picture is not in plain linear light: its contrast was undone with the exponent ${best.design.tone}; ` +
        "switch off filters and automatic enhancement if you can",
    );
  }
  const residuals = patches.map(({ label, rgb, Lab }, i) => ({
    label,
    Lab: Float64Array.from(Lab),
    deltaE: deltaE2000(Lab, correctedLab(rgb, best.whole, light)),
    deltaEWithout: best.errors[i],
  }));
  const gains = gainsOf(equations, best.design.tone);
  return { ...best.whole, space, white: light.white, residuals, gains, notes };
}

/** XYZ (Y = 100, in the light of the known patches) of picture values with the fall-off taken out. */
export function fittedXYZ(fit: ColourFit, rgb: ArrayLike<number>): Float64Array {
  return correctedXYZ(rgb, fit, linearToXYZMatrix(fit.white, fit.space));
}

/** CIELAB of picture values with the fall-off taken out, in the light of the known patches. */
export function fittedLab(fit: ColourFit, rgb: ArrayLike<number>): Float64Array {
  return correctedLab(rgb, fit, {
    white: fit.white,
    toWanted: linearToXYZMatrix(fit.white, fit.space),
  });
}

function checkPatch({ label, rgb, Lab }: KnownPatch): void {
  triple(`Lab of ${label}`, Lab);
  triple(`picture values of ${label}`, rgb);
  if (!(rgb[0] > 0 && rgb[1] > 0 && rgb[2] > 0)) {
    throw new RangeError(`${label}: a channel of the picture holds no light there`);
  }
  if (!(Lab[0] > 0 && Lab[0] <= 100)) {
    throw new RangeError(`${label}: L* = ${Lab[0]}: must be above 0 and at most 100`);
  }
}

interface Trial {
  readonly design: Design;
  readonly whole: Correction;
  /** ΔE00 of each patch with a fit made without it. */
  readonly errors: readonly (number | undefined)[];
  /** Their root mean square; 0 with one patch. */
  readonly score: number;
}

function tried(design: Design, patches: readonly PatchEquation[], light: WantedLight): Trial {
  const { whole, without } = fitDesign(design, patches);
  const errors = patches.map(({ rgb, Lab }, i) => {
    const correction = without[i];
    return correction && deltaE2000(Lab, correctedLab(rgb, correction, light));
  });
  const squares = errors.reduce<number>((sum, error) => sum + (error ?? 0) ** 2, 0);
  return { design, whole, errors, score: Math.sqrt(squares / patches.length) };
}

/** The model and pull that predict patches left out best; a larger model only where there are patches for it. */
function bestModel(patches: readonly PatchEquation[], light: WantedLight): Trial {
  let best = tried({ model: "white balance", pull: 0, tone: 1 }, patches, light);
  for (const [model, count] of fewestPatches) {
    if (model === "white balance" || patches.length < count) continue;
    for (const pull of pulls) {
      const trial = tried({ model, pull, tone: 1 }, patches, light);
      if (trial.score < best.score) best = trial;
    }
  }
  return best;
}

/** The exponent that predicts patches left out clearly better than none; undefined when none does. */
function bestTone(plain: Trial, patches: readonly PatchEquation[], light: WantedLight): Trial | undefined {
  const brightness = patches.map(({ rgb }) => rgb[0] + rgb[1] + rgb[2]);
  const range = Math.max(...brightness) / Math.min(...brightness);
  if (patches.length < toneNeeds.patches || range < toneNeeds.range) return undefined;
  let best: Trial | undefined;
  for (const tone of tones) {
    const trial = tried({ ...plain.design, tone }, patches, light);
    if (trial.score < worthIt * plain.score && trial.score < (best?.score ?? Number.POSITIVE_INFINITY)) {
      best = trial;
    }
  }
  return best;
}
