import { describe, expect, test } from "vitest";
import { product3 } from "../../src/fit/denseAlgebra.ts";
import {
  fromXYZ,
  linearOf8Bit,
  linearToXYZMatrix,
  type PictureSpace,
  pictureWhite,
  toXYZ,
  XYZToLinear,
} from "../../src/photo/pictureSpace.ts";
import { encode } from "./encode.ts";

const identity = [1, 0, 0, 0, 1, 0, 0, 0, 1];

describe("picture spaces", () => {
  // source: CSS Color 4, sample code for conversions (white 0.3127, 0.3290); seven printed digits
  test.each<[PictureSpace, number[]]>([
    [
      "srgb",
      [0.4123908, 0.3575843, 0.1804808, 0.212639, 0.7151687, 0.0721923, 0.0193308, 0.1191948, 0.9505322],
    ],
    [
      "display-p3",
      [0.4865709, 0.2656677, 0.1982173, 0.2289746, 0.6917385, 0.0792869, 0, 0.0451134, 1.0439444],
    ],
  ])("matrix of %s", (space, expected) => {
    toXYZ[space].forEach((value, i) => {
      expect(value / 100).toBeCloseTo(expected[i], 6);
    });
    product3(toXYZ[space], fromXYZ[space]).forEach((value, i) => {
      expect(value).toBeCloseTo(identity[i], 12);
    });
  });

  // source: IEC 61966-2-1, transfer curve: V ≤ 0.04045 → V/12.92, else ((V + 0.055)/1.055)^2.4
  test.each([
    [0, 0],
    [1, 1 / 255 / 12.92],
    [10, 10 / 255 / 12.92],
    [128, 0.2158605],
    [255, 1],
  ])("8-bit value %i is %f of full light", (code, linear) =>
    expect(linearOf8Bit[code]).toBeCloseTo(linear, 7),
  );

  test("encoding is the inverse of decoding", () => {
    for (let code = 0; code < 256; code++) expect(Math.round(255 * encode(linearOf8Bit[code]))).toBe(code);
  });

  test("white stays white under any light, and back", () => {
    for (const white of [[109.85, 100, 35.585], [96.422, 100, 82.521], [...pictureWhite]]) {
      const linear = XYZToLinear(white, white, "srgb");
      for (const value of linear) expect(value).toBeCloseTo(1, 9);
      const matrix = linearToXYZMatrix(white, "srgb");
      for (let i = 0; i < 3; i++) {
        expect(matrix[3 * i] + matrix[3 * i + 1] + matrix[3 * i + 2]).toBeCloseTo(white[i], 9);
      }
    }
  });
});
