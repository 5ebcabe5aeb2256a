import { converter } from "culori";
import { describe, expect, test } from "vitest";
import { displayColour } from "../../src/colour/display.ts";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import { chromaticityToXYZ } from "../../src/colour/XYZ.ts";
import { illuminantNames } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";

const D65 = chromaticityToXYZ(0.3127, 0.329);
const Lab = (L: number, a: number, b: number, white: ArrayLike<number> = D65) =>
  LabToXYZ([L, a, b], white, new Float64Array(3));

describe("displayColour", () => {
  test.each([
    // source: IEC 61966-2-1: XYZ of the primaries and the white of sRGB, four decimals
    ["white", [95.05, 100, 108.9], "#ffffff"],
    ["red", [41.24, 21.26, 1.93], "#ff0000"],
    ["green", [35.76, 71.52, 11.92], "#00ff00"],
    ["blue", [18.05, 7.22, 95.05], "#0000ff"],
  ] as const)("%s of sRGB", (_, XYZ, css) => {
    expect(displayColour(XYZ, D65, "srgb").css).toBe(css);
  });

  test("a grey of L* 50 is 119 of 255 in both spaces", () => {
    // source: IEC 61966-2-1, transfer curve at Y = 0.184187: 1.055·Y^(1/2.4) − 0.055 = 0.46633
    expect(displayColour(Lab(50, 0, 0), D65, "srgb")).toMatchObject({ css: "#777777", inGamut: true });
    for (const value of displayColour(Lab(50, 0, 0), D65, "p3").rgb) expect(value).toBeCloseTo(0.46633, 4);
  });

  test("the white of every light looks white to the adapted eye", () => {
    // identity: adaptation carries white to white
    for (const illuminant of illuminantNames) {
      const { white } = weightsFor("1964-10", illuminant);
      expect(displayColour(white, white, "srgb")).toMatchObject({ css: "#ffffff", inGamut: true });
      const grey = displayColour(Lab(50, 0, 0, white), white, "srgb");
      expect(grey.css).toBe("#777777");
    }
  });

  test("a red outside sRGB but inside P3 is flagged in the one, not in the other", () => {
    // source: Display P3: its red (0.680, 0.320) lies outside sRGB; here a little inside P3
    const red = displayColour([43, 21, 0.6], D65, "srgb");
    expect(red.inGamut).toBe(false);
    for (const value of red.rgb) {
      expect(value).toBeGreaterThanOrEqual(0);
      expect(value).toBeLessThanOrEqual(1);
    }
    const wide = displayColour([43, 21, 0.6], D65, "p3");
    expect(wide.inGamut).toBe(true);
    expect(wide.css).toMatch(/^color\(display-p3 0\.\d{4} 0\.\d{4} 0\.\d{4}\)$/);
  });

  test("a colour brought into the gamut keeps its lightness and hue", () => {
    // source: CSS Color 4, gamut mapping: chroma is lowered in OKLCH until what clipping still moves is below 0.02
    const toOklch = converter("oklch");
    const XYZ = Lab(50, 90, 60);
    const shown = displayColour(XYZ, D65, "srgb");
    expect(shown.inGamut).toBe(false);
    const before = toOklch({ mode: "xyz65", x: XYZ[0] / 100, y: XYZ[1] / 100, z: XYZ[2] / 100 });
    const after = toOklch({ mode: "rgb", r: shown.rgb[0], g: shown.rgb[1], b: shown.rgb[2] });
    expect(Math.abs(after.l - before.l)).toBeLessThan(0.02);
    expect(Math.abs(after.h! - before.h!) * (Math.PI / 180) * after.c).toBeLessThan(0.02);
    expect(after.c).toBeLessThan(before.c);
  });

  test("refuses numbers that are none", () => {
    expect(() => displayColour([1, 2, Number.NaN], D65, "srgb")).toThrow(RangeError);
    expect(() => displayColour([1, 2], D65, "srgb")).toThrow(TypeError);
  });
});
