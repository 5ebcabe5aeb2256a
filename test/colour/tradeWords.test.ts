import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import { LChToLab } from "./LChToLab.ts";

const LCh = (L: number, C: number, h: number) => LChToLab([L, C, h], new Float64Array(3));
const red = LCh(40, 50, 28);

// common practice: the words of the bench; a red is read as yellower or bluer, whatever its shade
describe("tradeWords", () => {
  test.each([
    ["lighter", LCh(43, 50, 28), { lightness: "lighter", chroma: "", hue: "" }],
    ["darker", LCh(37, 50, 28), { lightness: "darker", chroma: "", hue: "" }],
    ["stronger", LCh(40, 57, 28), { lightness: "", chroma: "stronger", hue: "" }],
    ["duller", LCh(40, 43, 28), { lightness: "", chroma: "duller", hue: "" }],
    ["yellower", LCh(40, 50, 32), { lightness: "", chroma: "", hue: "yellower" }],
    ["bluer", LCh(40, 50, 24), { lightness: "", chroma: "", hue: "bluer" }],
    ["slightly bluer", LCh(40, 50, 26.5), { lightness: "", chroma: "", hue: "slightly bluer" }],
    ["much darker", LCh(28, 50, 28), { lightness: "much darker", chroma: "", hue: "" }],
  ])("a red that is %s", (text, sample, words) => {
    expect(tradeWords(red, sample)).toEqual({ ...words, text, short: text });
  });

  test("over a dark ground a red goes darker, duller and a little bluer", () => {
    expect(tradeWords(red, LCh(36, 44, 26.5)).text).toBe("darker, duller, slightly bluer");
  });

  test("the short form says each grade once, the strongest first", () => {
    expect(tradeWords(red, LCh(36, 44, 26.5)).short).toBe("darker, duller; slightly bluer");
    expect(tradeWords(red, LCh(39.3, 48.5, 27.2)).short).toBe("slightly darker, duller, bluer");
    expect(tradeWords(red, LCh(24, 30, 26.5)).short).toMatch(/^much darker, duller; /);
    expect(tradeWords(red, red).short).toBe("no visible difference");
    // identity: nothing is lost or added, whatever the two colours are
    const tint = fc.tuple(
      fc.double({ min: 5, max: 95, noNaN: true }),
      fc.double({ min: -60, max: 60, noNaN: true }),
      fc.double({ min: -60, max: 60, noNaN: true }),
    );
    fc.assert(
      fc.property(tint, tint, (reference, sample) => {
        const { text, short } = tradeWords(reference, sample);
        const said = short.split("; ").flatMap((group) => {
          const grade = /^(?:much|slightly) (?!visible)/.exec(group)?.[0] ?? "";
          return group
            .slice(grade.length)
            .split(", ")
            .map((word) => grade + word);
        });
        expect(said.sort()).toEqual(text.split(", ").sort());
      }),
    );
  });

  test.each([
    // the neighbours on the hue circle: rising hue angle, falling hue angle
    ["bluish red", 345, "yellower", "bluer"],
    ["red", 28, "yellower", "bluer"],
    ["orange", 55, "yellower", "bluer"],
    ["yellow", 90, "greener", "redder"],
    ["green", 160, "bluer", "yellower"],
    ["blue", 260, "redder", "greener"],
    ["violet", 320, "redder", "greener"],
  ])("a %s turns %s° on: %s or %s", (_, hue, rising, falling) => {
    expect(tradeWords(LCh(50, 40, hue), LCh(50, 40, hue + 10)).hue).toContain(rising);
    expect(tradeWords(LCh(50, 40, hue), LCh(50, 40, hue - 10)).hue).toContain(falling);
  });

  test.each([
    ["redder", [50, 3, 0]],
    ["greener", [50, -3, 0.5]],
    ["yellower", [50, 0, 3]],
    ["bluer", [50, 0.5, -3]],
  ] as const)("a grey that goes %s is not called stronger", (hue, sample) => {
    expect(tradeWords([50, 0, 0], sample)).toMatchObject({ lightness: "", chroma: "", hue });
  });

  test("inside the tolerance there is nothing to see, outside there is always a word", () => {
    // identity; seeded
    const part = fc.double({ min: -6, max: 6, noNaN: true });
    fc.assert(
      fc.property(part, part, part, fc.double({ min: 0.1, max: 3, noNaN: true }), (L, a, b, tolerance) => {
        const sample = [red[0] + L, red[1] + a, red[2] + b];
        const words = tradeWords(red, sample, tolerance);
        const inside = deltaE2000(red, sample) <= tolerance;
        expect(words.text === "no visible difference").toBe(inside);
        expect(words.lightness + words.chroma + words.hue === "").toBe(inside);
        expect(words.lightness).not.toContain(L > 0 ? "darker" : "lighter");
      }),
      { seed: 40, numRuns: 500 },
    );
  });

  test("refuses a negative tolerance", () => expect(() => tradeWords(red, red, -1)).toThrow(RangeError));
});
