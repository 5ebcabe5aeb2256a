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

  test.each([
    "43.2 51.0 28.5",
    "L* 43.2 a* 51 b* 28.5",
    "seat: 43,2; 51,0; 28,5",
    "L 40 C 50",
    "x".repeat(5000),
  ])("leaves alone what does not say LCh: %s", (text) => expect(LChAsLab(text)).toBe(text));
});
