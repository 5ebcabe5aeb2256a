import { LabToXYZ, XYZToLab } from "../colour/Lab.ts";
import { addRow, combined, type NormalEquations, noEquations, solveNormal } from "../fit/leastSquares.ts";
import { type PictureSpace, XYZToLinear } from "./pictureSpace.ts";

/** Ways to carry picture values to colours, the smallest first. */
export type FitModel = "white balance" | "3×3 matrix" | "root polynomial";

/** What has to be chosen before coefficients can be fitted. */
export interface Design {
  readonly model: FitModel;
  /** pull of the larger models towards the plain gains, 0 for none */
  readonly pull: number;
  /** exponent that undoes the contrast of the picture, 1 for none */
  readonly tone: number;
}

/** The light that the known colours are stated for, and the way there from the picture's space. */
export interface WantedLight {
  readonly white: Float64Array;
  /** linear red, green, blue to XYZ, row by row */
  readonly toWanted: Float64Array;
}

/** A patch: what the picture shows, what is known, and the weight of differences in red, green, blue. */
export interface PatchEquation {
  readonly rgb: ArrayLike<number>;
  readonly Lab: ArrayLike<number>;
  /** wanted linear red, green, blue, as seen under the space's white */
  readonly wanted: Float64Array;
  /** 3×3, row by row: linear red, green, blue of the space to CIELAB, at the known colour */
  readonly weight: Float64Array;
}

export interface Correction {
  readonly model: FitModel;
  readonly tone: number;
  /** channel by channel: for each the factor of every term of the model */
  readonly coefficients: Float64Array;
}

/** Chroma below which a patch shows the balance of the channels by itself (common practice). */
const nearNeutral = 12;

export function patchEquation(
  rgb: ArrayLike<number>,
  Lab: ArrayLike<number>,
  { white, toWanted }: WantedLight,
  space: PictureSpace,
): PatchEquation {
  const XYZ = LabToXYZ(Lab, white, new Float64Array(3));
  return { rgb, Lab, wanted: XYZToLinear(XYZ, white, space), weight: LabSlopes(XYZ, white, toWanted) };
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
 *
 * @throws RangeError when the known colours leave a channel without light
 */
export function gainsOf(patches: readonly PatchEquation[], tone: number): Float64Array {
  const neutral = patches.filter(({ Lab }) => Math.hypot(Lab[1], Lab[2]) < nearNeutral);
  const balancing = neutral.length > 0 ? neutral : patches;
  return Float64Array.from({ length: 3 }, (_, c) => {
    const strongest = Math.max(...balancing.map(({ wanted }) => wanted[c]));
    if (!(strongest > 0)) {
      throw new RangeError("the known colours leave a channel of the picture without light: add a grey");
    }
    // A patch without much of the wanted channel says little about its gain.
    const ratios = balancing
      .filter(({ wanted }) => wanted[c] > 0.1 * strongest)
      .map(({ wanted, rgb }) => wanted[c] / rgb[c] ** tone)
      .sort((a, b) => a - b);
    const middle = (ratios.length - 1) / 2;
    return (ratios[Math.floor(middle)] + ratios[Math.ceil(middle)]) / 2;
  });
}

/**
 * The correction of a design fitted on all patches, and for each patch the one fitted without it.
 * @throws RangeError when the patches do not determine it
 */
export function fitDesign(
  { model, pull, tone }: Design,
  patches: readonly PatchEquation[],
): { whole: Correction; without: (Correction | undefined)[] } {
  const others = (i: number): PatchEquation[] => patches.filter((_, k) => k !== i);
  const correction = (coefficients: Float64Array): Correction => ({ model, tone, coefficients });
  const leaveOut = (fitted: (i: number) => Float64Array): (Correction | undefined)[] =>
    patches.map((_, i) => (patches.length > 1 ? correction(fitted(i)) : undefined));
  if (model === "white balance") {
    const balance = (some: readonly PatchEquation[]): Float64Array => startOf(model, gainsOf(some, tone));
    return { whole: correction(balance(patches)), without: leaveOut((i) => balance(others(i))) };
  }
  const each = patches.map((patch) => equationsOf(model, tone, patch));
  const all = each.reduce((sum, one) => combined(sum, one, 1));
  return {
    whole: correction(solveNormal(all, startOf(model, gainsOf(patches, tone)), pull)),
    without: leaveOut((i) =>
      solveNormal(combined(all, each[i], -1), startOf(model, gainsOf(others(i), tone)), pull),
    ),
  };
}

/** Coefficients of a model that does no more than the gains. */
function startOf(model: FitModel, gains: Float64Array): Float64Array {
  const terms = model === "root polynomial" ? 6 : 3;
  const start = new Float64Array(3 * terms);
  for (let c = 0; c < 3; c++) start[c * terms + c] = gains[c];
  return start;
}

function equationsOf(model: FitModel, tone: number, { rgb, wanted, weight }: PatchEquation): NormalEquations {
  const values = termsOf(model, tone, rgb);
  const terms = values.length;
  const equations = noEquations(3 * terms);
  const row = new Float64Array(3 * terms);
  for (let i = 0; i < 3; i++) {
    let side = 0;
    for (let c = 0; c < 3; c++) {
      side += weight[3 * i + c] * wanted[c];
      for (let k = 0; k < terms; k++) row[c * terms + k] = weight[3 * i + c] * values[k];
    }
    addRow(equations, row, side);
  }
  return equations;
}

/** XYZ in the wanted light of picture values with the fall-off taken out. */
export function correctedXYZ(
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

/** CIELAB in the wanted light of picture values with the fall-off taken out. */
export function correctedLab(
  rgb: ArrayLike<number>,
  correction: Correction,
  { white, toWanted }: WantedLight,
): Float64Array {
  return XYZToLab(correctedXYZ(rgb, correction, toWanted), white, new Float64Array(3));
}
