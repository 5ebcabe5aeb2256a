import { describe, expect, test } from "vitest";
import { compose, dryThicknessOf } from "../../src/calibration/compose.ts";
import { binder, white } from "./benchDesign.ts";

describe("compose", () => {
  const paste = { name: "paste", density: 1.1, volumeSolids: 0.3 };

  test("by volume, by mass, by dry volume: one and the same mix", () => {
    const volumes = [3, 5, 40];
    const masses = volumes.map((volume, j) => volume * [paste, white, binder][j].density);
    const dry = volumes.map((volume, j) => volume * [paste, white, binder][j].volumeSolids);
    const byVolume = compose(paste, [white, binder], volumes, "volume");
    const sum = dry.reduce((a, b) => a + b, 0);
    byVolume.fractions.forEach((share, j) => expect(share).toBeCloseTo(dry[j] / sum, 12)); // source: definition
    expect(byVolume.volumeSolids).toBeCloseTo(sum / 48, 12);
    compose(paste, [white, binder], masses, "mass").fractions.forEach((share, j) =>
      expect(share).toBeCloseTo(byVolume.fractions[j], 12),
    );
    compose(paste, [white, binder], dry, "dry volume").fractions.forEach((share, j) =>
      expect(share).toBeCloseTo(byVolume.fractions[j], 12),
    );
  });

  test("what is needed and missing is named", () => {
    expect(() => compose({ name: "Rose" }, [binder], [1, 2], "volume")).toThrow(
      /volume solids of Rose are needed/,
    );
    expect(() => compose({ name: "Rose", volumeSolids: 0.3 }, [binder], [1, 2], "mass")).toThrow(
      /density of Rose/,
    );
    expect(() => compose(paste, [binder], [0, 0], "volume")).toThrow(RangeError);
    expect(() => compose(paste, [binder], [-1, 2], "volume")).toThrow(RangeError);
    expect(() => compose(paste, [binder], [1], "volume")).toThrow(TypeError);
    expect(compose({ name: "Rose" }, [binder], [4, 0], "mass").fractions).toEqual(Float64Array.of(1, 0));
  });

  test("wet thickness × volume solids is the dry one, and less sure", () => {
    const mix = compose(paste, [binder], [1, 9], "volume");
    const dry = dryThicknessOf(100, "wet", mix);
    expect(dry).toMatchObject({ kind: "known", relativeSigma: 0.1 });
    expect(dry.kind === "known" && dry.value).toBeCloseTo(100 * mix.volumeSolids!, 12); // source: ISO 3233
    expect(dryThicknessOf(20, "dry", mix)).toEqual({ kind: "known", value: 20, relativeSigma: 0.05 });
    expect(dryThicknessOf(20, "dry", mix, 0.02)).toEqual({ kind: "known", value: 20, relativeSigma: 0.02 });
    expect(() => dryThicknessOf(100, "gap", { fractions: mix.fractions })).toThrow(
      /volume solids of the mix/,
    );
  });
});
