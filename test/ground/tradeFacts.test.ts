import { describe, expect, test } from "vitest";
import { GroundChain } from "../../src/ground/chain.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import { chooseRatio } from "../../src/ground/thicknessProof.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { coatsThatDo, groundMap, type MapAxis } from "./groundMap.ts";
import { cream, grey, job, parts, recipeOf, white, wineJob } from "./lanternJob.ts";

const evenly = (points: number, from: number, to: number): Float64Array =>
  Float64Array.from({ length: points }, (_, k) => from + ((to - from) * k) / (points - 1));
const black = { ...job, substrates: [parts[1]] };

describe("the ground under a red", () => {
  test("straight on black no number of coats and no allowed loading brings the red right", () => {
    // common practice: a correct red cannot reach its target over black within any sensible number of coats
    const bare = { ...black, basecoatWet: 0 };
    const coats: MapAxis = { setting: "coats", values: [1, 2, 3, 4, 5, 6, 7, 8] };
    const loading: MapAxis = { setting: "loading", values: evenly(12, 0.03, 0.25) };
    const map = groundMap(bare, coats, loading, plannedPoint(bare, 0));
    expect(map.worst[map.best]).toBeGreaterThan(3);
    const own = new GroundChain(bare);
    for (let n = 1; n <= 8; n++) expect(own.at({ ...plannedPoint(bare, 0), coats: n })).toBeGreaterThan(5);
  });

  test("on the blended ground four coats do on every part, and not on either paint alone", () => {
    // common practice: neither of two basecoats need be best; ΔE00 ≤ 1 is just noticeable side by side
    const ratio: MapAxis = { setting: "ratio", values: [0, lanternRoom.demoRatio, 1] };
    const coats: MapAxis = { setting: "coats", values: evenly(9, 0, 8) };
    const { fewest } = coatsThatDo(groundMap(job, ratio, coats, plannedPoint(job, 0)), 1);
    expect(fewest[1]).toBeLessThanOrEqual(4);
    const chain = new GroundChain(job);
    expect(chain.at(plannedPoint(job, 0))).toBeGreaterThan(1.5);
    expect(chain.at(plannedPoint(job, 1))).toBeGreaterThan(1.5);
  });

  test("a light ground hides black in one or two coats", () => {
    // common practice: white-rich, strongly scattering
    for (const coats of [2, 3]) {
      const laid = { ...job, basecoatWet: 25 * coats };
      const chain = new GroundChain(laid);
      chain.at({ ...plannedPoint(laid, 0.5), coats: 0 });
      const L = [0, 1, 2].map((p) => chain.labs[3 * p]);
      expect(Math.max(...L) - Math.min(...L)).toBeLessThan(coats === 2 ? 1 : 0.5);
      expect(Math.min(...L)).toBeGreaterThan(70);
    }
  });

  test("the best blend depends on the target, and so does the safest", () => {
    // common practice
    const [poppy, wine] = [chooseRatio(job), chooseRatio(wineJob)];
    for (const { best } of [poppy, wine]) {
      expect(best.ratio).toBeGreaterThan(0.05);
      expect(best.ratio).toBeLessThan(0.95);
    }
    expect(poppy.best.ratio - wine.best.ratio).toBeGreaterThan(0.2);
    expect(poppy.safest.ratio - wine.safest.ratio).toBeGreaterThan(0.2);
  });

  test("a hiding grey does not care for its ground", () => {
    // common practice: what hides well needs no particular basecoat
    const hiding = { ...job, recipe: recipeOf(lanternRoom.hidingRecipe.volumes) };
    const chain = new GroundChain(hiding);
    const reference = new GroundChain({ ...hiding, basecoatWet: 0 });
    chain.at(plannedPoint(hiding, 0.5));
    reference.at(plannedPoint(hiding, 0.5));
    for (let k = 0; k < 9; k++) expect(Math.abs(chain.labs[k] - reference.labs[k])).toBeLessThan(1);
    const red = new GroundChain({ ...job, paints: [grey, cream, white] });
    const spans = [0, 1].map((ratio) => red.at(plannedPoint(job, ratio)));
    expect(Math.abs(spans[0] - spans[1])).toBeGreaterThan(0.5);
  });
});
