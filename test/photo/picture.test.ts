import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { product3 } from "../../src/fit/denseAlgebra.ts";
import { type CircleSample, sampleCircle } from "../../src/photo/circleSample.ts";
import { fallOffOf } from "../../src/photo/fallOff.ts";
import {
  encode,
  fromXYZ,
  linearOf8Bit,
  linearToXYZMatrix,
  type Picture,
  type PictureSpace,
  pictureWhite,
  toXYZ,
  XYZToLinear,
} from "../../src/photo/pictureSpace.ts";

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

function pictureOf(
  width: number,
  height: number,
  pixel: (x: number, y: number) => readonly number[],
  space: PictureSpace = "srgb",
): Picture {
  const data = new Uint8ClampedArray(4 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data.set([...pixel(x, y), 255], 4 * (y * width + x));
  }
  return { width, height, data, space };
}

const circle = { x: 20, y: 20, radius: 10 };

describe("sampleCircle", () => {
  test("a flat patch: its linear values, no spread", () => {
    const sample = sampleCircle(
      pictureOf(40, 40, () => [200, 100, 50]),
      circle,
    );
    [200, 100, 50].forEach((code, c) => {
      expect(sample.rgb[c]).toBeCloseTo(linearOf8Bit[code], 12);
    });
    expect(Math.max(...sample.spread)).toBeLessThan(1e-12);
    expect(sample.refusals).toEqual([]);
    expect(sample.notes).toEqual([]);
    expect(sample.count).toBeGreaterThan(0.97 * Math.PI * 100);
    expect(sample.count).toBeLessThan(1.03 * Math.PI * 100);
  });

  test("only the circle counts: the mean is taken in light, not in stored values", () => {
    const half = sampleCircle(
      pictureOf(40, 40, (x) => (x < 20 ? [100, 100, 100] : [200, 200, 200])),
      circle,
    );
    // identity: half the pixels each; trimming takes as many from both ends
    expect(half.rgb[0]).toBeCloseTo((linearOf8Bit[100] + linearOf8Bit[200]) / 2, 9);
    expect(half.notes.join()).toContain("uneven");
    const inside = sampleCircle(
      pictureOf(40, 40, (x, y) =>
        (x + 0.5 - 20) ** 2 + (y + 0.5 - 20) ** 2 <= 100 ? [90, 90, 90] : [250, 0, 0],
      ),
      circle,
    );
    expect(inside.rgb[0]).toBeCloseTo(linearOf8Bit[90], 12);
  });

  test("specks and glints in fewer than a tenth of the pixels do not move the colour", () => {
    const glints = sampleCircle(
      pictureOf(40, 40, (x, y) => ((x * 7 + y * 13) % 23 === 0 ? [250, 245, 240] : [120, 60, 50])),
      circle,
    );
    expect(glints.rgb[0]).toBeCloseTo(linearOf8Bit[120], 12);
  });

  test.each([
    ["overexposed", [255, 180, 170], "overexposed"],
    ["in shadow", [9, 8, 7], "in shadow"],
  ])("%s is refused", (_, colour, word) => {
    expect(
      sampleCircle(
        pictureOf(40, 40, () => colour),
        circle,
      ).refusals.join(),
    ).toContain(word);
  });

  test("too few pixels are refused", () => {
    const small = sampleCircle(
      pictureOf(40, 40, () => [90, 90, 90]),
      { ...circle, radius: 2 },
    );
    expect(small.refusals.join()).toContain("larger");
  });

  test.each<[PictureSpace, string]>([
    ["srgb", "an sRGB"],
    ["display-p3", "a Display P3"],
  ])("a red with nothing left in a channel of %s is flagged, not refused", (space, word) => {
    const sample = sampleCircle(
      pictureOf(40, 40, () => [190, 0, 20], space),
      circle,
    );
    expect(sample.refusals).toEqual([]);
    expect(sample.notes.join()).toContain(word);
  });

  test.each([
    [{ x: 5, y: 20, radius: 10 }],
    [{ x: 20, y: 35, radius: 10 }],
    [{ x: 20, y: 20, radius: 0 }],
    [{ x: Number.NaN, y: 20, radius: 5 }],
  ])("a circle %j is refused", (bad) => {
    expect(() =>
      sampleCircle(
        pictureOf(40, 40, () => [90, 90, 90]),
        bad,
      ),
    ).toThrow(RangeError);
  });

  test("a picture that does not fit its size is refused", () => {
    expect(() =>
      sampleCircle({ width: 40, height: 41, data: new Uint8Array(6400), space: "srgb" }, circle),
    ).toThrow(TypeError);
  });

  test("any picture and circle: a finite sample or a clear refusal", () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(255), fc.nat(255), fc.nat(255)), { minLength: 1, maxLength: 40 }),
        fc.double({ min: -5, max: 45, noNaN: true }),
        fc.double({ min: -5, max: 45, noNaN: true }),
        fc.double({ min: 0.1, max: 25, noNaN: true }),
        (colours, x, y, radius) => {
          const picture = pictureOf(
            40,
            40,
            (column, row) => colours[(column * 3 + row * 5) % colours.length],
          );
          let sample: CircleSample | undefined;
          try {
            sample = sampleCircle(picture, { x, y, radius });
          } catch (error) {
            expect(error).toBeInstanceOf(RangeError);
          }
          if (sample === undefined) return;
          if (sample.count === 0) expect(sample.refusals.length).toBeGreaterThan(0);
          for (const value of [
            ...sample.rgb,
            ...sample.spread,
            sample.clipped,
            sample.shadowed,
            sample.saturated,
          ]) {
            expect(Number.isFinite(value)).toBe(true);
            expect(value).toBeGreaterThanOrEqual(0);
          }
        },
      ),
      { seed: 81, numRuns: 500 },
    );
  });
});

function cardAt(x: number, y: number, light: number, refusals: string[] = []): CircleSample {
  return {
    circle: { x, y, radius: 5 },
    rgb: Float64Array.of(0.2 * light, 0.21 * light, 0.19 * light),
    spread: new Float64Array(3),
    count: 80,
    clipped: 0,
    shadowed: 0,
    saturated: 0,
    refusals,
    notes: [],
  };
}

describe("fallOffOf", () => {
  const places = [
    [10, 20],
    [300, 15],
    [20, 200],
    [310, 190],
    [160, 100],
    [100, 40],
    [220, 170],
  ] as const;

  test("two samples: the change along the line between them, none across it", () => {
    const { model, lightAt } = fallOffOf([cardAt(0, 100, 0.8), cardAt(200, 100, 1.25)]);
    expect(model).toBe("along a line");
    // identity: geometric middle; ends as sampled
    expect(lightAt(100, 100)).toBeCloseTo(1, 6);
    expect(lightAt(0, 100)).toBeCloseTo(0.8, 6);
    expect(lightAt(200, 0)).toBeCloseTo(1.25, 6);
    expect(lightAt(100, 300)).toBeCloseTo(1, 6);
  });

  test.each([
    [3, "plane", (x: number, y: number) => Math.exp(0.001 * x - 0.0007 * y)],
    [5, "plane", (x: number, y: number) => Math.exp(-0.0008 * x + 0.0005 * y)],
    [7, "bowl", (x: number, y: number) => Math.exp(0.0005 * x - 4e-6 * ((x - 160) ** 2 + (y - 100) ** 2))],
  ] as const)("%i samples recover a %s exactly", (count, model, light) => {
    const found = fallOffOf(places.slice(0, count).map(([x, y]) => cardAt(x, y, light(x, y))));
    expect(found.model).toBe(model);
    expect(found.residual).toBeLessThan(1e-6);
    const scale = found.lightAt(50, 60) / light(50, 60);
    for (const [x, y] of [
      [150, 150],
      [250, 30],
      [80, 110],
    ]) {
      expect(found.lightAt(x, y) / light(x, y) / scale).toBeCloseTo(1, 6);
    }
  });

  test("one sample, or all on one spot: nothing is corrected, and that is said", () => {
    for (const cards of [[], [cardAt(10, 10, 1)], [cardAt(10, 10, 1), cardAt(10, 10, 1.1)]]) {
      const found = fallOffOf(cards);
      expect(found.model).toBe("none");
      expect(found.lightAt(300, 5)).toBe(1);
      expect(found.notes.join()).toContain("not corrected");
    }
  });

  test("refused samples are left out, and very uneven light is pointed out", () => {
    const found = fallOffOf([cardAt(0, 0, 1), cardAt(100, 0, 9, ["overexposed"]), cardAt(200, 0, 2)]);
    expect(found.notes.join()).toContain("1 of 3 card samples left out");
    expect(found.notes.join()).toContain("2.0-fold");
    expect(found.lightAt(100, 0)).toBeCloseTo(1, 6);
  });

  test("what the model leaves over is told", () => {
    const bumpy = places.slice(0, 5).map(([x, y], i) => cardAt(x, y, i === 4 ? 1.1 : 1));
    expect(fallOffOf(bumpy).residual).toBeGreaterThan(0.05);
  });
});
