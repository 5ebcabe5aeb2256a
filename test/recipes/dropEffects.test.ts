import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { type DropRequest, dropEffects } from "../../src/recipes/dropEffects.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { binderIndex, coats, lights, rack, sheen, surface } from "./lanternMatch.ts";
import { seenOfVolumes } from "./mishaps.ts";

const volumes = rack.map(
  ({ id }) => lanternRoom.demoRecipe.volumes.find((entry) => entry.id === id)?.volume ?? 0,
);
const request: DropRequest = {
  components: rack,
  binderIndex,
  volumes,
  dropsPerMl: rack.map(() => 20),
  finish: coats,
  weights: lights[0].weights,
  surface,
  sheen,
};

const { Lab, effects } = dropEffects(request);
const effectOf = (colourIndex: string) =>
  effects.find(({ component }) => rack[component].colourIndex === colourIndex)!;

describe("one-drop effects in the poppy red", () => {
  test("each is the mix predicted with the drop in it", () => {
    const LabOf = (amounts: ArrayLike<number>) =>
      reflectanceToLab(
        seenOfVolumes(rack, binderIndex, amounts, coats),
        lights[0].weights,
        new Float64Array(3),
      );
    LabOf(volumes).forEach((v, i) => {
      expect(Lab[i]).toBeCloseTo(v, 9); // identity
    });
    for (const { component, Lab: moved, lightness, difference } of effects) {
      const after = LabOf(volumes.map((v, j) => v + (j === component ? 0.05 : 0)));
      after.forEach((v, i) => {
        expect(moved[i]).toBeCloseTo(v, 9); // identity
      });
      expect(lightness).toBeCloseTo(after[0] - Lab[0], 9);
      expect(difference).toBeCloseTo(deltaE2000(Lab, after), 9);
    }
  });

  test("the reds go two ways: yellower with orange and scarlet, bluer with the deep bluish reds", () => {
    // common practice: an intense red can be steered yellower or bluer
    for (const name of ["PO 73", "PR 188"]) expect(effectOf(name).words, name).toContain("yellower");
    for (const name of ["PV 19", "PR 179"]) expect(effectOf(name).words, name).toContain("bluer");
  });

  test("a deep bluish red moves hue more gently per drop than a blue does", () => {
    // common practice
    for (const name of ["PV 19", "PR 179"]) {
      expect(effectOf(name).hue).toBeLessThan(0);
      expect(Math.abs(effectOf(name).hue)).toBeLessThan(Math.abs(effectOf("PB 15:3").hue) / 3);
    }
    expect(effectOf("PB 15:3").hue).toBeLessThan(0);
  });

  test("white turns red to pink: lighter, less chroma, bluer", () => {
    // common practice
    const { lightness, chroma, hue, words } = effectOf("PW 6");
    expect(lightness).toBeGreaterThan(0);
    expect(chroma).toBeLessThan(0);
    expect(hue).toBeLessThan(0);
    expect(words).toContain("lighter");
    // Ten drops go on in the same direction.
    const ten = dropEffects({ ...request, dropsPerMl: rack.map(() => 2) });
    const pink = ten.effects.find(({ component }) => rack[component].colourIndex === "PW 6")!;
    expect(pink.lightness).toBeGreaterThan(5 * lightness);
    expect(pink.chroma).toBeLessThan(chroma);
  });

  test("any other move costs chroma: black, blue, violet and green are duller", () => {
    // common practice
    for (const name of ["PBk 7", "PB 15:3", "PV 23", "PG 7"])
      expect(effectOf(name).words, name).toContain("duller");
  });

  test("more of the clear binder hardly changes anything", () => {
    expect(effects[binderIndex].words).toBe("hardly any change");
  });

  test.each([
    ["empty pot", { volumes: rack.map(() => 0) }, "volume in the pot = 0 mL"],
    ["drops of no size", { dropsPerMl: rack.map(() => 0) }, "drops per mL[0] = 0: must be above 0"],
    ["a ground that is not there", { ground: 3 }, "ground = 3: must be below 3"],
  ])("bad input: %s", (_, change, message) => {
    expect(() => dropEffects({ ...request, ...change })).toThrow(message);
  });
});
