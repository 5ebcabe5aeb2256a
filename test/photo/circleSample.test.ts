import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type CircleSample, sampleCircle } from "../../src/photo/circleSample.ts";
import { linearOf8Bit, type Picture, type PictureSpace } from "../../src/photo/pictureSpace.ts";

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
