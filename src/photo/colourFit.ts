import { triple } from "../colour/checks.ts";
import { deltaE2000 } from "../colour/difference.ts";
import { LabToXYZ, XYZToLab } from "../colour/Lab.ts";
import { leastSquares } from "./leastSquares.ts";
import { linearToXYZMatrix, type PictureSpace, XYZToLinear } from "./pictureSpace.ts";

/** A patch of known colour as the picture shows it. */
export interface KnownPatch {
  readonly label: string;
  /** Mean linear red, green, blue with the fall-off of the light taken out. */
  readonly rgb: ArrayLike<number>;
  /** Known CIELAB in the light that the colours are wanted for. */
  readonly Lab: ArrayLike<number>;
}

export type FitModel = "white balance" | "3×3 matrix" | "root polynomial";

/** How well a known patch comes back. */
export interface PatchResidual {
  readonly label: string;
  /** The known colour. */
  readonly Lab: Float64Array;
  /** ΔE00 between the known colour and the one read with the fit. */
  readonly deltaE: number;
  /** The same with a fit made without this patch; undefined with one patch only. */
  readonly deltaEWithout: number | undefined;
}

/** A correction from picture values to colour. */
export interface ColourFit {
  readonly model: FitModel;
  readonly space: PictureSpace;
  /** XYZ of the white in the light that the colours are wanted for, Y = 100. */
  readonly white: Float64Array;
  readonly coefficients: Float64Array;
  /** Exponent that undoes the contrast of the picture; 1 for a picture in plain linear light. */
  readonly tone: number;
  readonly residuals: readonly PatchResidual[];
  /** Linear red, green, blue of the space that the patches ask for over those that the picture shows, per channel. */
  readonly gains: Float64Array;
  readonly notes: readonly string[];
}

/** Fewest patches for each model. */
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
/** Chroma below which a patch shows the balance of the channels by itself (common practice). */
const nearNeutral = 12;
/** A larger model must lower the error of patches left out to this share, or it is not worth its freedom. */
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
  if (patches.length === 0)
    throw new RangeError("no patch of known colour: sample a grey card or chart first");
  const target = { white: Float64Array.from(white), toWanted: linearToXYZMatrix(white, space) };
  const equations = patches.map((patch) => equationOf(patch, target, space));
  const allowed = fewestPatches.filter(([, count]) => patches.length >= count).map(([model]) => model);
  const notes: string[] = [];

  let best = leaveOut({ model: "white balance", pull: 0, tone: 1 }, equations, target);
  for (const model of allowed) {
    if (model === "white balance") continue;
    for (const pull of pulls) {
      const trial = leaveOut({ model, pull, tone: 1 }, equations, target);
      if (trial.score < best.score) best = trial;
    }
  }
  if (best.model !== allowed[0]) {
    notes.push(
      `${best.model} used: with these ${patches.length} patches a ${allowed[0]} predicts a patch left out no better`,
    );
  }
  const brightness = equations.map(({ rgb }) => rgb[0] + rgb[1] + rgb[2]);
  if (
    patches.length >= toneNeeds.patches &&
    Math.max(...brightness) > toneNeeds.range * Math.min(...brightness)
  ) {
    let bent = best;
    for (const tone of tones) {
      const trial = leaveOut({ ...best.design, tone }, equations, target);
      if (trial.score < worthIt * best.score && trial.score < bent.score) bent = trial;
    }
    if (bent !== best) {
      notes.push(
        `the picture is not in plain linear light: its contrast was undone with the exponent ${bent.tone}; ` +
          "switch off filters and automatic enhancement if you can",
      );
      best = bent;
    }
  }
  const coefficients = coefficientsOf(best.design, equations);
  const fit = { model: best.model, tone: best.tone, space, white: target.white, coefficients };
  const residuals = patches.map((patch, i) => ({
    label: patch.label,
    Lab: Float64Array.from(patch.Lab),
    deltaE: deltaE2000(patch.Lab, LabOf(patch.rgb, fit, target)),
    deltaEWithout: patches.length > 1 ? best.errors[i] : undefined,
  }));
  return { ...fit, residuals, gains: gainsOf(equations, best.tone), notes };
}

/** XYZ (Y = 100, in the light of the known patches) of picture values with the fall-off taken out. */
export function fittedXYZ(fit: ColourFit, rgb: ArrayLike<number>): Float64Array {
  return XYZOf(rgb, fit, linearToXYZMatrix(fit.white, fit.space));
}

/** CIELAB of picture values with the fall-off taken out, in the light of the known patches. */
export function fittedLab(fit: ColourFit, rgb: ArrayLike<number>): Float64Array {
  return XYZToLab(fittedXYZ(fit, rgb), fit.white, new Float64Array(3));
}

/** The light that the known colours are stated for, and the way there from the picture's space. */
interface WantedLight {
  readonly white: Float64Array;
  /** linear red, green, blue to XYZ, row by row */
  readonly toWanted: Float64Array;
}

interface Design {
  readonly model: FitModel;
  readonly pull: number;
  readonly tone: number;
}

/** One patch as three linear equations: the weight carries differences in red, green, blue to differences in CIELAB. */
interface Equation {
  readonly rgb: ArrayLike<number>;
  readonly Lab: ArrayLike<number>;
  /** wanted linear red, green, blue, as seen under the space's white */
  readonly wanted: Float64Array;
  /** 3×3, row by row: linear red, green, blue of the space to CIELAB, at the known colour */
  readonly weight: Float64Array;
}

function equationOf(patch: KnownPatch, { white, toWanted }: WantedLight, space: PictureSpace): Equation {
  const { rgb, Lab } = patch;
  triple(`Lab of ${patch.label}`, Lab);
  triple(`picture values of ${patch.label}`, rgb);
  if (!(rgb[0] > 0 && rgb[1] > 0 && rgb[2] > 0)) {
    throw new RangeError(`${patch.label}: a channel of the picture holds no light there`);
  }
  if (!(Lab[0] > 0 && Lab[0] <= 100)) {
    throw new RangeError(`${patch.label}: L* = ${Lab[0]}: must be above 0 and at most 100`);
  }
  const XYZ = LabToXYZ(Lab, white, new Float64Array(3));
  const wanted = XYZToLinear(XYZ, white, space);
  return { rgb, Lab, wanted, weight: LabSlopes(XYZ, white, toWanted) };
}

/** dLab / d(linear red, green, blue), row by row, by central differences. */
function LabSlopes(XYZ: Float64Array, white: Float64Array, toWanted: Float64Array): Float64Array {
  const slopes = new Float64Array(9);
  // Dark patches are weighed as if a little lighter, as flare and noise spoil them first.
  const lifted = XYZ.map((value, i) => Math.max(value, 0) + 0.005 * white[i]);
  const h = 1e-4;
  const up = new Float64Array(3);
  const down = new Float64Array(3);
  for (let c = 0; c < 3; c++) {
    for (let i = 0; i < 3; i++) {
      up[i] = lifted[i] + h * toWanted[3 * i + c];
      down[i] = lifted[i] - h * toWanted[3 * i + c];
    }
    XYZToLab(up, white, up);
    XYZToLab(down, white, down);
    for (let i = 0; i < 3; i++) slopes[3 * i + c] = (up[i] - down[i]) / (2 * h);
  }
  return slopes;
}

/** Terms of a model, all of one order in exposure. */
function termsOf(model: FitModel, tone: number, rgb: ArrayLike<number>): number[] {
  const [r, g, b] = [rgb[0], rgb[1], rgb[2]].map((value) => Math.max(value, 0) ** tone);
  if (model !== "root polynomial") return [r, g, b];
  return [r, g, b, Math.sqrt(r * g), Math.sqrt(g * b), Math.sqrt(r * b)];
}

/**
 * Gains of the channels, each the median of what the near-neutral patches ask for (all patches, where none is): one odd
 * patch does not tilt the balance.
 */
function gainsOf(equations: readonly Equation[], tone: number): Float64Array {
  const neutral = equations.filter(({ Lab }) => Math.hypot(Lab[1], Lab[2]) < nearNeutral);
  const balancing = neutral.length > 0 ? neutral : equations;
  return Float64Array.from({ length: 3 }, (_, c) => {
    // A patch without much of the wanted channel says little about its gain.
    const strongest = Math.max(...balancing.map((equation) => equation.wanted[c]));
    const ratios = balancing
      .filter((equation) => equation.wanted[c] > 0.1 * strongest)
      .map((equation) => equation.wanted[c] / equation.rgb[c] ** tone)
      .sort((a, b) => a - b);
    if (ratios.length === 0) {
      throw new RangeError("the known colours leave a channel of the picture without light");
    }
    const middle = (ratios.length - 1) / 2;
    return (ratios[Math.floor(middle)] + ratios[Math.ceil(middle)]) / 2;
  });
}

/** Coefficients, channel by channel: for each the factor of every term. */
function coefficientsOf({ model, pull, tone }: Design, equations: readonly Equation[]): Float64Array {
  const gains = gainsOf(equations, tone);
  const terms = model === "root polynomial" ? 6 : 3;
  const start = new Float64Array(3 * terms);
  for (let c = 0; c < 3; c++) start[c * terms + c] = gains[c];
  if (model === "white balance") return start;
  const rows: Float64Array[] = [];
  const right: number[] = [];
  for (const { rgb, wanted, weight } of equations) {
    const values = termsOf(model, tone, rgb);
    for (let i = 0; i < 3; i++) {
      const row = new Float64Array(3 * terms);
      let side = 0;
      for (let c = 0; c < 3; c++) {
        side += weight[3 * i + c] * wanted[c];
        for (let k = 0; k < terms; k++) row[c * terms + k] = weight[3 * i + c] * values[k];
      }
      rows.push(row);
      right.push(side);
    }
  }
  return leastSquares(rows, right, start, pull);
}

type Correction = Pick<ColourFit, "model" | "tone" | "coefficients">;

function XYZOf(
  rgb: ArrayLike<number>,
  { model, tone, coefficients }: Correction,
  toWanted: Float64Array,
): Float64Array {
  const values = termsOf(model, tone, rgb);
  const linear = [0, 1, 2].map((c) =>
    values.reduce((sum, value, k) => sum + coefficients[c * values.length + k] * value, 0),
  );
  return Float64Array.from({ length: 3 }, (_, i) => {
    const row = 3 * i;
    const sum = toWanted[row] * linear[0] + toWanted[row + 1] * linear[1] + toWanted[row + 2] * linear[2];
    return Math.max(sum, 0);
  });
}

function LabOf(rgb: ArrayLike<number>, correction: Correction, light: WantedLight): Float64Array {
  return XYZToLab(XYZOf(rgb, correction, light.toWanted), light.white, new Float64Array(3));
}

interface Trial {
  readonly design: Design;
  readonly model: FitModel;
  readonly tone: number;
  /** ΔE00 of each patch with a fit made without it. */
  readonly errors: readonly number[];
  /** Their root mean square. */
  readonly score: number;
}

function leaveOut(design: Design, equations: readonly Equation[], light: WantedLight): Trial {
  const { model, tone } = design;
  const errors = equations.map(({ rgb, Lab }, i) => {
    if (equations.length === 1) return 0;
    const coefficients = coefficientsOf(
      design,
      equations.filter((_, k) => k !== i),
    );
    return deltaE2000(Lab, LabOf(rgb, { model, tone, coefficients }, light));
  });
  const score = Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length);
  return { design, model, tone, errors, score };
}
