import { describe, expect, test } from "vitest";
import type { SweptRatio } from "../../cells/ratio-sweep/define.ts";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import { componentToSave } from "../../src/ports/pigmentSet.ts";
import type { Recipe } from "../../src/ports/recipe.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { computed } from "./computed.ts";

const demo = parseNotebook(lanternRoomText);

/** The demo with a pyrrole red whose K and S are known to a share of themselves. */
async function withDoubt(share: number | undefined) {
  const red = lanternRoom.pastes.find((paste) => paste.id === "pr254")!;
  const doubtful = {
    ...red,
    absorptionSigma: share === undefined ? undefined : red.absorption.map((K) => share * K),
    scatteringSigma: share === undefined ? undefined : red.scattering.map((S) => share * S),
  };
  const graph = await computed(setParameters(demo, "rack", { added: [componentToSave(doubtful)] }));
  return {
    preview: (graph.lastValue("red") as Recipe).preview!,
    sweep: graph.lastValue("ratio") as SweptRatio,
  };
}

describe("the doubt of K and S in recipe and sweep", () => {
  test("none known, none told", async () => {
    const { preview, sweep } = await withDoubt(undefined);
    expect(preview.doubt).toBeUndefined();
    expect(sweep.band).toBeUndefined();
  });

  test("no doubt leaves no range", async () => {
    // identity: draws without variance are the recipe itself
    const { preview, sweep } = await withDoubt(0);
    expect(preview.doubt!.low).toBeCloseTo(preview.worst!.difference, 12);
    expect(preview.doubt!.high).toBeCloseTo(preview.worst!.difference, 12);
    sweep.ratios.forEach((_, k) => {
      // The band is found at 26 ratios and joined by straight lines; the curve bends by less than this between them.
      expect(Math.abs(sweep.band!.low[k] - sweep.worst[k])).toBeLessThan(0.03);
      expect(sweep.band!.high[k]).toBeCloseTo(sweep.band!.low[k], 12);
    });
  });

  test("more doubt, wider range, and the recipe lies in it", async () => {
    const narrow = await withDoubt(0.02);
    const wide = await withDoubt(0.06);
    const width = ({ doubt }: typeof wide.preview) => doubt!.high - doubt!.low;
    expect(width(narrow.preview)).toBeGreaterThan(0.02);
    expect(width(wide.preview)).toBeGreaterThan(2 * width(narrow.preview));
    expect(wide.preview.worst!.difference).toBeGreaterThan(wide.preview.doubt!.low);
    expect(wide.preview.worst!.difference).toBeLessThan(wide.preview.doubt!.high);
    const middle = 20;
    expect(wide.sweep.band!.high[middle] - wide.sweep.band!.low[middle]).toBeGreaterThan(0.1);
  });
});
