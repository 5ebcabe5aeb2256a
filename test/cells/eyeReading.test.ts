import { describe, expect, test } from "vitest";
import { seenReading } from "../../cells/by-eye/view/taken.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { withHabit } from "../../src/tables/readingHabit.ts";
import { weightsFor } from "../../src/tables/weights.ts";

const viewing = (sheen: number): Viewing =>
  ({ weights: weightsFor("1964-10", "D65"), others: [], surface: usualSurface, sheen }) as unknown as Viewing;
const Lab = { kind: "Lab", label: "panel", Lab: [45, 30, 20] } as const;
const taken = (sample: object) => ({
  samples: [sample as typeof Lab],
  assumptions: [],
  from: "typed",
  conditions: {},
});

describe("a reading as the eye saw it", () => {
  test("the instrument says what the reading does not", () => {
    expect(() => seenReading(taken(Lab), viewing(1))).toThrow(/name the instrument/);
    const sphere = withHabit(Lab, { name: "Sphere", specular: "included" });
    const [L, a, b] = seenReading(taken(sphere), viewing(1));
    // identity: all of the surface is seen, and all of it was counted in
    expect([L, a, b].map((value) => Number(value.toFixed(9)))).toEqual([45, 30, 20]);
    // identity: no surface is seen, and none was counted in
    const without = withHabit(Lab, { name: "45/0", specular: "excluded" });
    expect(seenReading(taken(without), viewing(0)).map((value) => Number(value.toFixed(9)))).toEqual([
      45, 30, 20,
    ]);
    // A surface that was counted in and is not seen makes the colour darker.
    expect(seenReading(taken(sphere), viewing(0))[0]).toBeLessThan(45);
  });

  test("another light than the eye's is refused for a Lab, and no matter for a spectrum", () => {
    const elsewhere = withHabit(Lab, { name: "Sensor", specular: "excluded", illuminant: "A" });
    expect(() => seenReading(taken(elsewhere), viewing(0))).toThrow(/read under .*A/);
    const { wavelengths, reflectance } = lanternRoom.target;
    const spectrum = {
      ...{ kind: "spectrum", label: "red", specular: "included" },
      ...{ wavelengths: [...wavelengths], values: [...reflectance] },
    };
    expect(seenReading(taken(spectrum), viewing(0))[1]).toBeGreaterThan(30);
  });
});
