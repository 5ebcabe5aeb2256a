import {
  convertXyz65ToP3,
  convertXyz65ToRgb,
  modeLrgb,
  modeOklab,
  modeOklch,
  modeP3,
  modeRgb,
  modeXyz65,
  toGamut,
  useMode,
} from "culori/fn";
import { adapt, bradfordMatrix } from "./adaptation.ts";
import { triple } from "./checks.ts";
import { chromaticityToXYZ } from "./XYZ.ts";

for (const mode of [modeRgb, modeLrgb, modeXyz65, modeP3, modeOklab, modeOklch])
  useMode(mode as typeof modeRgb);

/** Colour spaces of screens: sRGB, Display P3. */
export type ScreenGamut = "srgb" | "p3";

/** A colour as a screen can show it. */
interface DisplayColour {
  /** for style sheets: `#rrggbb` in sRGB, `color(display-p3 …)` in P3 */
  readonly css: string;
  /** false when the colour had to be moved into the gamut of the screen: say so beside it */
  readonly inGamut: boolean;
  /** red, green, blue of the screen's space as shown, 0…1 with the transfer curve applied */
  readonly rgb: readonly [number, number, number];
}

/** White of both screen spaces. Source: IEC 61966-2-1, chromaticity of D65 as printed there. */
const screenWhite = chromaticityToXYZ(0.3127, 0.329);
/** Channels that leave 0…1 by less than this are rounding, far below one 8-bit step (1/255). */
const rounding = 1e-4;

const intoGamut = { srgb: toGamut("rgb", "oklch"), p3: toGamut("p3", "oklch") };

/**
 * Screen colour of a surface seen under any light, as it looks to an eye adapted to that light's white.
 *
 * @param XYZ Y = 100 for the perfect diffuser   @param white XYZ of the white under the same light
 * @param gamut colour space of the screen
 * @returns colour moved into the gamut at constant lightness and hue where need be (OKLCH chroma reduction), and flagged
 * @throws TypeError, RangeError for anything but three finite numbers
 * Source: linear Bradford adaptation to D65; IEC 61966-2-1 and Display P3 through culori; gamut mapping CSS Color 4.
 */
export function displayColour(
  XYZ: ArrayLike<number>,
  white: ArrayLike<number>,
  gamut: ScreenGamut,
): DisplayColour {
  triple("XYZ", XYZ);
  const [x, y, z] = adapt(XYZ, bradfordMatrix(white, screenWhite), new Float64Array(3)).map((v) => v / 100);
  const xyz = { mode: "xyz65" as const, x, y, z };
  const direct = gamut === "p3" ? convertXyz65ToP3(xyz) : convertXyz65ToRgb(xyz);
  const outside = [direct.r, direct.g, direct.b].some((v) => v < -rounding || v > 1 + rounding);
  const shown = outside ? intoGamut[gamut](direct) : direct;
  const rgb = [clip(shown.r), clip(shown.g), clip(shown.b)] as const;
  return { css: gamut === "p3" ? cssP3(rgb) : cssSrgb(rgb), inGamut: !outside, rgb };
}

function clip(value: number): number {
  return Math.min(Math.max(value, 0), 1);
}

function cssSrgb(rgb: readonly number[]): string {
  return `#${rgb
    .map((v) =>
      Math.round(v * 255)
        .toString(16)
        .padStart(2, "0"),
    )
    .join("")}`;
}

function cssP3(rgb: readonly number[]): string {
  return `color(display-p3 ${rgb.map((v) => v.toFixed(4)).join(" ")})`;
}
