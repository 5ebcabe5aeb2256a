import { beforeAll, describe, expect, test } from "vitest";
import type { BudgetOfPart } from "../../cells/light-budget/define.ts";
import type { SweptRatio } from "../../cells/ratio-sweep/define.ts";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setLinks, setParameters } from "../../src/document/operations.ts";
import type { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { culoriDeltaE2000, plainFilm, plainLab, plainMix, plainSeen } from "../bench/plain.ts";
import { computed } from "./computed.ts";

const demo = parseNotebook(lanternRoomText);

/** Difference of every part at a ratio, by the printed formulas on plain arrays: an independent slow method. */
function plainDifferences(coverage: Coverage, ratio: number, bare = false): number[] {
  const { basecoat, recipe, colourCoats, parts, viewing, targetSeen } = coverage;
  const red = plainMix(recipe.components, [...recipe.volumes]);
  const base = plainMix(basecoat!.paints, [1 - ratio, ratio]);
  const baseDry = basecoat!.coats * basecoat!.wetThickness * base.volumeSolids;
  const dry = [...colourCoats.wetThicknesses].reduce((a, b) => a + b, 0) * red.volumeSolids;
  return parts.map(({ substrate }) => {
    const ground = bare
      ? [...substrate.internal]
      : plainFilm(base.K, base.S, baseDry, [...substrate.internal]);
    const { externalReflection: k1, internalReflection: k2 } = viewing.surface;
    const seen = plainSeen(plainFilm(red.K, red.S, dry, ground), k1, k2, viewing.sheen);
    return culoriDeltaE2000(targetSeen!.Lab, plainLab(seen, viewing.weights));
  });
}

describe("from target to difference, against the printed formulas on plain arrays", () => {
  let graph: NotebookGraph;
  let coverage: Coverage;
  let sweep: SweptRatio;
  beforeAll(async () => {
    graph = await computed(demo);
    coverage = graph.lastValue("cover") as Coverage;
    sweep = graph.lastValue("ratio") as SweptRatio;
  });

  test("every part as painted, with the basecoat and without it", () => {
    // independent slow method
    const painted = plainDifferences(coverage, coverage.basecoat!.ratio);
    const bare = plainDifferences(coverage, 0, true);
    coverage.parts.forEach((part, i) => {
      expect(part.painted.difference).toBeCloseTo(painted[i], 8);
      expect(part.bare.difference).toBeCloseTo(bare[i], 8);
    });
  });

  test("the whole curve over the ratio", () => {
    // independent slow method
    for (let k = 0; k < sweep.ratios.length; k += 10) {
      const slow = plainDifferences(coverage, sweep.ratios[k]);
      sweep.differences.forEach((part, i) => expect(part[k]).toBeCloseTo(slow[i], 8));
      expect(sweep.worst[k]).toBeCloseTo(Math.max(...slow), 8);
    }
  });

  test("the best ratio beats a grid a hundred times finer than the curve's", () => {
    // independent slow method: exhaustive grid of 1e-4; the search stops at 1e-4
    let least = Number.POSITIVE_INFINITY;
    for (let k = 4000; k <= 7000; k += 5)
      least = Math.min(least, Math.max(...plainDifferences(coverage, k / 10_000)));
    expect(sweep.best.difference).toBeLessThan(least + 1e-4);
  });

  test("the flat region ends where the difference has risen by the margin", () => {
    // identity: by definition of the region
    for (const edge of sweep.flat) {
      expect(Math.max(...plainDifferences(coverage, edge))).toBeCloseTo(sweep.best.difference + 0.3, 4);
    }
  });

  test("the light budget ends in the reflectance of the painted part", () => {
    // identity: what comes back out of what entered is (1 − k2) R / (1 − k2 R) of the internal reflectance R
    const { bare, withBasecoat, part } = graph.lastValue("light") as BudgetOfPart;
    const { externalReflection: k1 } = coverage.viewing.surface;
    for (const [budget, step] of [
      [bare, part.bare],
      [withBasecoat!, part.painted],
    ] as const) {
      budget.reflected.forEach((back, i) =>
        expect(back * (1 - k1) + coverage.viewing.sheen * k1).toBeCloseTo(step.reflectance[i], 12),
      );
    }
  });
});

describe("what the demo shows by computation", () => {
  // common practice: facts of the trade that the figures must bring out by themselves
  test("neither base paint is best: the best blend lies between, and it beats both", async () => {
    const { best, worst } = (await computed(demo)).lastValue("ratio") as SweptRatio;
    expect(best.ratio).toBeGreaterThan(0.1);
    expect(best.ratio).toBeLessThan(0.9);
    expect(best.difference).toBeLessThan(worst[0] - 0.5);
    expect(best.difference).toBeLessThan(worst[worst.length - 1] - 0.5);
  });

  test("at the best blend every part passes in four coats; over bare black five coats miss by more than 5", async () => {
    const { best } = (await computed(demo)).lastValue("ratio") as SweptRatio;
    const mended = setParameters(demo, "ground", { ratio: best.ratio });
    const coverage = (await computed(mended)).lastValue("cover") as Coverage;
    expect(coverage.parts.length).toBe(3);
    for (const part of coverage.parts) {
      expect(part.painted.difference).toBeLessThanOrEqual(1);
      expect(part.coatsToTarget).toBeLessThanOrEqual(4);
    }
    const black = coverage.parts.find((part) => part.substrate.name === "Corner bolsters")!;
    expect(black.bareSteps[5].difference).toBeGreaterThan(5);
    expect(black.coatsToTargetBare).toBeUndefined();
    expect(coverage.dryBuild).toBeLessThanOrEqual(60);
  });
});

describe("targets and links", () => {
  test("a Lab reading of the spectral target gives the same differences", async () => {
    // identity: the same colour told in two ways, specular included read as a dead matt surface
    const graph = await computed(demo);
    const coverage = graph.lastValue("cover") as Coverage;
    const spectrum = coverage.target as Extract<Coverage["target"], { kind: "spectrum" }>;
    const [L, a, b] = plainLab([...spectrum.reflectance], coverage.viewing.weights);
    const typed = setParameters(demo, "target", {
      source: "lab",
      L,
      a,
      b,
      observer: "1964-10",
      illuminant: "D65",
    });
    const again = (await computed(typed)).lastValue("cover") as Coverage;
    coverage.parts.forEach((part, i) =>
      expect(again.parts[i].painted.difference).toBeCloseTo(part.painted.difference!, 8),
    );
  });

  test("a Lab reading under another light is refused with both lights named", async () => {
    const graph = await computed(setParameters(demo, "target", { source: "lab", illuminant: "A" }));
    expect(graph.outcome("red")).toMatchObject({ status: "error", field: "target" });
    expect(graph.outcome("cover")).toMatchObject({ status: "blocked", root: "red" });
    expect((graph.outcome("red") as { message: string }).message).toMatch(/A .* but you look under D65/);
  });

  test("a cut link blocks what follows and names the root", async () => {
    const graph = await computed(setLinks(demo, "cover", "recipe", []));
    expect(graph.outcome("cover")).toMatchObject({ status: "error", field: "recipe" });
    expect(graph.outcome("ratio")).toMatchObject({ status: "blocked", root: "cover" });
    expect(graph.outcome("light")).toMatchObject({ status: "blocked", root: "cover" });
    expect(graph.outcome("ground").status).toBe("ok");
  });

  test.each([
    ["a paint that is not there", "ground", { paints: ["cool-grey", "pink"] }, "paints", /no paint "pink"/],
    ["one paint twice", "ground", { paints: ["white", "white"] }, "paints", /chosen twice/],
    ["a ratio above 1", "ground", { ratio: 1.2 }, "ratio", /is 1.2: a number from 0 to 1/],
    ["an empty mix", "red", { amounts: [{ component: "binder", volume: 0 }] }, "amounts", /empty/],
    ["a negative amount", "red", { amounts: [{ component: "binder", volume: -1 }] }, "amounts", /-1/],
    [
      "a paste that is not on the shelf",
      "red",
      { amounts: [{ component: "gold", volume: 1 }] },
      "amounts",
      /"gold"/,
    ],
    ["no coats", "plan", { lightCoats: 0, heavyCoats: 0 }, "heavyCoats", /no coats/],
    ["an unknown light", "viewing", { illuminant: "Moon" }, "illuminant", /Moon/],
    ["no spectrum", "target", { spectrum: null }, "spectrum", /No spectrum/],
    ["an unknown setting", "plan", { colour: 1 }, "colour", /no setting called "colour"/],
    ["an area of nothing", "seats", { area: 0 }, "area", /from 0.001/],
  ])("%s: the message names the field", async (_, id, patch, field, message) => {
    const graph = await computed(setParameters(demo, id, patch));
    const outcome = graph.outcome(id);
    expect(outcome).toMatchObject({ status: "error", field, bug: false });
    expect((outcome as { message: string }).message).toMatch(message);
  });

  test("a part darker than its surface reflection is told, not clipped", async () => {
    const graph = await computed(setParameters(demo, "bolsters", { externalReflection: 0.06 }));
    expect(graph.outcome("bolsters")).toMatchObject({ status: "error", field: "specular" });
  });
});
