import { adapt, bradfordMatrix } from "../colour/adaptation.ts";
import { chromaticityToXYZ } from "../colour/XYZ.ts";
import { inverse3, product3 } from "../fit/denseAlgebra.ts";

/** Colour spaces that pictures come in. */
export type PictureSpace = "srgb" | "display-p3";

/** Decoded pixels: red, green, blue, opacity, 0…255 each, row by row from the top left. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly data: ArrayLike<number>;
  readonly space: PictureSpace;
}

/** Chromaticities of red, green, blue. Source: IEC 61966-2-1 (sRGB); SMPTE EG 432-1 (Display P3). */
const primaries: Record<PictureSpace, readonly (readonly [number, number])[]> = {
  srgb: [
    [0.64, 0.33],
    [0.3, 0.6],
    [0.15, 0.06],
  ],
  "display-p3": [
    [0.68, 0.32],
    [0.265, 0.69],
    [0.15, 0.06],
  ],
};

/** White of both spaces, Y = 100. Source: IEC 61966-2-1, chromaticity of D65 as printed there. */
export const pictureWhite = chromaticityToXYZ(0.3127, 0.329);

/** Linear light of an 8-bit value, 0…1; both spaces share the curve. Source: IEC 61966-2-1. */
export const linearOf8Bit: Float64Array = Float64Array.from({ length: 256 }, (_, code) => decode(code / 255));

function decode(value: number): number {
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
}

/** Linear red, green, blue (1 = white of the space) to XYZ (Y = 100) under D65, row by row: 9 numbers. */
export const toXYZ: Record<PictureSpace, Float64Array> = {
  srgb: matrixOf(primaries.srgb),
  "display-p3": matrixOf(primaries["display-p3"]),
};

/** The inverse of `toXYZ`. */
export const fromXYZ: Record<PictureSpace, Float64Array> = {
  srgb: inverse3(toXYZ.srgb),
  "display-p3": inverse3(toXYZ["display-p3"]),
};

/** XYZ as seen under a white (Y = 100) as linear red, green, blue of the space; outside 0…1 where the space ends. */
export function XYZToLinear(
  XYZ: ArrayLike<number>,
  white: ArrayLike<number>,
  space: PictureSpace,
): Float64Array {
  const adapted = adapt(XYZ, bradfordMatrix(white, pictureWhite), new Float64Array(3));
  return adapt(adapted, fromXYZ[space], adapted);
}

/** Matrix from linear red, green, blue to XYZ as seen under a white, row by row: toXYZ, then Bradford. */
export function linearToXYZMatrix(white: ArrayLike<number>, space: PictureSpace): Float64Array {
  return product3(bradfordMatrix(pictureWhite, white), toXYZ[space]);
}

/** Columns: the XYZ of each primary, scaled so that equal amounts make the white. */
function matrixOf(chromaticities: readonly (readonly [number, number])[]): Float64Array {
  const columns = chromaticities.map(([x, y]) => chromaticityToXYZ(x, y, 1));
  const unscaled = Float64Array.from({ length: 9 }, (_, i) => columns[i % 3][Math.floor(i / 3)]);
  const amounts = adapt(pictureWhite, inverse3(unscaled), new Float64Array(3));
  return unscaled.map((value, i) => value * amounts[i % 3]);
}
