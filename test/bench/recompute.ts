import { registry } from "../../cells/allKinds.ts";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { line, medianMs } from "./measure.ts";
import { culoriDeltaE2000, plainFilm, plainLab, plainMix, plainSeen } from "./plain.ts";

/** The whole demo notebook after one step of the basecoat slider: every cell, every sweep. */
export async function benchRecompute(): Promise<void> {
  let document = parseNotebook(lanternRoomText);
  const graph = new NotebookGraph(registry, runDirect);
  graph.setCells(document.cells);
  await graph.settled();
  const coverage = graph.lastValue("cover") as Coverage;
  let ratio = 0;
  const ours = await medianMs(200, async () => {
    ratio = (ratio + 0.013) % 1;
    document = setParameters(document, "ground", { ratio });
    graph.setCells(document.cells);
    await graph.settled();
  });
  const plain = await medianMs(20, () => {
    ratio = (ratio + 0.013) % 1;
    plainRecompute(coverage, ratio);
  });
  line("demo notebook after one slider step", ours, plain, "ms");
  graph.dispose();
}

function plainRecompute(
  { basecoat, recipe, colourCoats, parts, viewing, targetSeen }: Coverage,
  ratio: number,
): number {
  const { externalReflection: k1, internalReflection: k2 } = viewing.surface;
  const see = (R: number[]) => plainLab(plainSeen(R, k1, k2, viewing.sheen), viewing.weights);
  const difference = (R: number[]) => culoriDeltaE2000(targetSeen!.Lab, see(R));
  const red = plainMix(recipe.components, [...recipe.volumes]);
  const wet = [...colourCoats.wetThicknesses];
  const blend = (share: number) => plainMix(basecoat!.paints, [1 - share, share]);
  const ground = (share: number, Rg: number[]) => {
    const base = blend(share);
    return plainFilm(base.K, base.S, basecoat!.coats * basecoat!.wetThickness * base.volumeSolids, Rg);
  };
  let sum = 0;
  for (const { substrate } of parts) {
    const Rg = [...substrate.internal];
    for (const under of [ground(ratio, Rg), Rg]) {
      for (let coats = 0; coats <= 10; coats++) {
        let dry = 0;
        for (let c = 0; c < coats; c++) dry += wet[Math.min(c, wet.length - 1)] * red.volumeSolids;
        sum += difference(plainFilm(red.K, red.S, dry, under));
      }
    }
    const dry = wet.reduce((a, b) => a + b, 0) * red.volumeSolids;
    // 101 points of the curve, 13 steps to the best, 60 to the edges of the flat region.
    for (let k = 0; k < 101 + 13 + 60; k++) {
      sum += difference(plainFilm(red.K, red.S, dry, ground((k % 101) / 100, Rg)));
    }
  }
  return sum;
}
