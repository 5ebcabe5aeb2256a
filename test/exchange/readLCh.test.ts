import { describe, expect, test } from "vitest";
import { typedLab } from "../../src/exchange/lazyReaders.ts";
import { LChAsLab } from "../../src/exchange/readLCh.ts";

describe("LCh as typed", () => {
  // source: CIE 15: a* = C* cos h, b* = C* sin h; 3-4-5 triangles keep the figures short
  test.each([
    ["L 40 C 50 h 0", [40, 50, 0]],
    ["L* 40; C* 50; h 90", [40, 0, 50]],
    ["LCh 40 50 180", [40, -50, 0]],
    ["seat: L 38,5; C 50; h 36,8699°", [38.5, 40, 30]],
    ["L*C*h: 40, 50, 270 (D65/10°)", [40, 0, -50]],
    ["LCh 40 50 0.643501 rad", [40, 40, 30]],
  ])("%s", async (text, [L, a, b]) => {
    const { samples } = await typedLab(text);
    expect(samples[0].Lab[0]).toBeCloseTo(L, 4);
    expect(samples[0].Lab[1]).toBeCloseTo(a, 3);
    expect(samples[0].Lab[2]).toBeCloseTo(b, 3);
  });

  test("keeps name and conditions", async () => {
    const { samples } = await typedLab("seat: LCh 40 50 90 (D65/10°, SCE)");
    expect(samples[0]).toMatchObject({
      label: "seat",
      illuminant: "D65",
      observer: "1964-10",
      specular: "excluded",
    });
  });

  // identity: the same colours said in both units; several hues that differ and all lie within 2π are in doubt.
  test("several hues in radians are asked, and read as answered", async () => {
    const lines = "LCh 40 50 0.5236\nLCh 40 50 2.0944\n";
    await expect(typedLab(lines)).rejects.toThrow("degrees or radians");
    const { samples } = await typedLab(lines, { hue: "radians" });
    expect(samples.map(({ Lab }) => Math.atan2(Lab[2], Lab[1]) * (180 / Math.PI))).toEqual([
      expect.closeTo(30, 2),
      expect.closeTo(120, 2),
    ]);
    expect((await typedLab(lines, { hue: "degrees" })).samples[1].Lab[2]).toBeCloseTo(
      50 * Math.sin((2.0944 * Math.PI) / 180),
      3,
    );
  });

  test.each([
    ["repeats of one rose", "LCh 40 50 2.1\nLCh 40 50 2.3"],
    ["a single one", "LCh 40 50 3"],
    ["hues all round", "LCh 40 50 3\nLCh 40 50 130"],
    ["greys, whose hue says nothing", "LCh 40 0.5 0.5\nLCh 40 0.4 5"],
    ["what is marked", "LCh 40 50 1°\nLCh 40 50 5°"],
  ])("%s in degrees are read unasked", async (_, text) => {
    expect((await typedLab(text)).samples.length).toBeGreaterThan(0);
  });

  test.each(["LCh 40 -50 30", "LCh 40 50 9999", "L 40 C 50 h 7 rad"])("no colour: %s", async (text) => {
    await expect(typedLab(text)).rejects.toThrow("no colour");
  });

  test.each([
    "43.2 51.0 28.5",
    "L* 43.2 a* 51 b* 28.5",
    "seat: 43,2; 51,0; 28,5",
    "L 40 C 50",
    "x".repeat(5000),
  ])("leaves alone what does not say LCh: %s", (text) => expect(LChAsLab(text, "typed")).toBe(text));
});
