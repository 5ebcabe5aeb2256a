import { describe, expect, test } from "vitest";
import { blendOf } from "../../src/coating/blend.ts";
import { Eye } from "../../src/coating/eye.ts";
import { coatsWithin, groundReflectance } from "../../src/coating/paintedPart.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { GroundRater } from "../../src/ground/groundCandidate.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import { rankingTask } from "../../src/ground/longTasks.ts";
import { groundTriangle } from "../../src/ground/map.ts";
import {
  checkRanking,
  type GroundRankingRequest,
  groundSets,
  rankingOf,
} from "../../src/ground/rankGrounds.ts";
import { reflectivityInto } from "../../src/optics/film.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { cream, eye, grey, job, parts, white } from "./lanternJob.ts";

const request: GroundRankingRequest = {
  ...job,
  paints: lanternRoom.basePaints,
  tints: lanternRoom.pastes,
  maxTint: 0.05,
  oneBasecoatWet: lanternRoom.demoPlan.basecoatWet,
  tolerance: 1,
  maxCoats: 8,
  transferEfficiency: 0.55,
  sizes: [2, 3],
  order: "difference",
};
const rater = new GroundRater(request);
const rank = (change: Partial<GroundRankingRequest> = {}) =>
  runDirect(rankingTask, { ...request, ...change });

describe("one set of base paints", () => {
  test.each([
    ["grey and cream", [0, 1]],
    ["grey and white", [0, 2]],
  ])("%s: no ratio of a fine sweep is better", (_, paints) => {
    // independent method: 2001 ratios; 2e-5: what lies between them
    const found = rater.rate({ paints, tint: undefined })!;
    const chain = new GroundChain({ ...job, paints: paints.map((p) => lanternRoom.basePaints[p]) });
    let least = Number.POSITIVE_INFINITY;
    for (let k = 0; k <= 2000; k++) least = Math.min(least, chain.at(plannedPoint(job, k / 2000)));
    expect(found.difference).toBeLessThan(least + 2e-5);
    expect(found.difference).toBeGreaterThan(least - 2e-4);
    expect(chain.at(plannedPoint(job, found.shares[1]))).toBeCloseTo(found.difference, 9); // identity
    found.differences.forEach((d, p) => {
      expect(d).toBeCloseTo(chain.differences[p], 9);
    });
  });

  test("three paints are no worse than any blend of a triangle", () => {
    // independent method: 5151 blends
    const found = rater.rate({ paints: [0, 1, 2], tint: undefined });
    const three = { ...job, paints: [grey, cream, white] };
    const triangle = groundTriangle(three, 100, plannedPoint(three, 0));
    const least = triangle.worst[triangle.best];
    if (found) expect(found.difference).toBeLessThan(least + 1e-4);
    // left out only when two of them do as well
    else expect(rater.rate({ paints: [0, 1], tint: undefined })!.difference).toBeLessThan(least + 1e-4);
  });

  test.each([
    ["red oxide", "pr101"],
    ["carbon black", "pbk7"],
    ["yellow ochre", "py42"],
  ])("a tint of %s: no blend of a grid is better", (_, id) => {
    // independent method: 41 × 26 blends over ratio and tint; 1e-3: what lies between them
    const tint = lanternRoom.pastes.findIndex((paste) => paste.id === id);
    const found = rater.rate({ paints: [0, 1], tint });
    const chain = new GroundChain({ ...job, paints: [grey, cream, lanternRoom.pastes[tint]] });
    let least = Number.POSITIVE_INFINITY;
    for (let k = 0; k <= 40; k++) {
      for (let t = 0; t <= 25; t++) {
        least = Math.min(least, chain.at({ ...plannedPoint(job, k / 40), thirdShare: (0.05 * t) / 25 }));
      }
    }
    if (found) {
      expect(found.difference).toBeLessThan(least + 1e-3);
      expect(found.shares[2]).toBeLessThanOrEqual(0.05 + 1e-12);
      expect(found.shares.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12);
    } else {
      // left out only when one of its members is not needed
      const smaller = [
        rater.rate({ paints: [0, 1], tint: undefined }),
        rater.rate({ paints: [0], tint }),
        rater.rate({ paints: [1], tint }),
      ];
      expect(Math.min(...smaller.map((one) => one?.difference ?? Infinity))).toBeLessThan(least + 2e-3);
    }
  });

  test("coats, hiding and cost are those of the films", () => {
    const found = rater.rate({ paints: [0, 1], tint: undefined })!;
    const chain = new GroundChain(job);
    const byCoats = Array.from({ length: 9 }, (_, coats) =>
      coats === 0 ? 99 : chain.at({ ...plannedPoint(job, found.shares[1]), coats }),
    );
    expect(found.coats).toBe(coatsWithin(byCoats, 1));
    const seer = new Eye(eye);
    const blend = blendOf([grey, cream], found.shares);
    const opaque = new Float64Array(36);
    reflectivityInto(blend.absorption, blend.scattering, opaque);
    const onBlack = (coats: number) =>
      deltaE2000(
        seer.see(opaque).Lab,
        seer.see(groundReflectance(parts[1], { ...blend, dryThickness: coats * 25 * blend.mix.volumeSolids }))
          .Lab,
      );
    expect(found.hiding).toBeCloseTo(onBlack(2), 9); // identity: two coats planned
    expect(found.basecoatsToHide).toBe([0, 1, 2, 3].find((coats) => onBlack(coats) <= 1));
    expect(found.contrastRatio).toBeGreaterThan(0.98); // common practice: a light ground hides in two coats
    // arithmetic: 50 µm of ground at its price, 90 µm of colour at its own, 55 % on the part
    const { components, volumes } = job.recipe;
    const colour = components.reduce((sum, c, j) => sum + (volumes[j] / 100) * c.costPerMl!, 0);
    const ground = found.shares[0] * grey.costPerMl! + found.shares[1] * cream.costPerMl!;
    expect(found.coats).toBe(4);
    expect(found.cost).toBeCloseTo((50 * ground + 90 * colour) / 0.55, 9);
  });
});

describe("ranking", () => {
  test("every pair and triple, plain and with each tint", () => {
    const sets = groundSets(request);
    expect(sets).toHaveLength((3 + 1) * (1 + 13)); // 3 pairs, 1 triple
    expect(new Set(sets.map(({ paints, tint }) => `${paints} ${tint}`)).size).toBe(sets.length);
    expect(groundSets({ ...request, paints: [...request.paints, grey], tints: [] })).toHaveLength(6 + 4);
  });

  test("the nearest come first, simpler ones before others that look alike", async () => {
    const { grounds, tried, reduced, notes } = await rank();
    expect(tried).toBe(56);
    expect(grounds).toHaveLength(tried - reduced);
    expect(notes).toEqual([]);
    const steps = grounds.map(({ difference }) => Math.round(difference / 0.02));
    expect(steps).toEqual([...steps].sort((a, b) => a - b));
    // the plain blend of the demo is among them, and a tint can better it
    const plain = grounds.find(({ paints, tint }) => paints.join() === "0,1" && tint === undefined)!;
    expect(plain.difference).toBeLessThan(0.5); // common practice: a blend of two base paints gets near
    expect(grounds[0].difference).toBeLessThan(plain.difference);
    expect(grounds[0].words).toMatch(/Red oxide .*difference 0\.1\d, within 1 after 4 coats/);
  });

  test.each(["coats", "hiding", "cost"] as const)(
    "ordered by %s, what passes before what does not",
    async (order) => {
      const { grounds } = await rank({ order, sizes: [1, 2], tints: [] });
      const passes = grounds.map(({ difference }) => (difference <= 1 ? 0 : 1));
      expect(passes).toEqual([...passes].sort());
      expect(new Set(passes).size).toBe(2);
      const keys = grounds.map((ground) => ({ ...ground, coats: ground.coats ?? Infinity }));
      for (let k = 1; k < keys.length; k++) {
        if (passes[k] === passes[k - 1])
          expect(keys[k][order]!).toBeGreaterThanOrEqual(keys[k - 1][order]! - 0.02);
      }
    },
  );

  test("outstanding grounds are those that no other beats in everything", async () => {
    const { grounds } = await rank({ sizes: [1, 2] });
    const key = ({ difference, coats, hiding, cost }: (typeof grounds)[number]) =>
      [difference, coats ?? Infinity, hiding, cost!] as const;
    for (const ground of grounds) {
      const own = key(ground);
      const beaten = grounds.some((other) => {
        const theirs = key(other);
        return theirs.every((value, k) => value <= own[k]) && theirs.some((value, k) => value < own[k]);
      });
      expect(ground.outstanding).toBe(!beaten);
    }
  });

  test("without prices cost is left out and said so", () => {
    const paints = request.paints.map((paint) => ({ ...paint, costPerMl: undefined }));
    const free = { ...request, paints };
    const candidate = new GroundRater(free).rate({ paints: [0, 1], tint: undefined })!;
    const { grounds, notes } = rankingOf(free, 1, [candidate]);
    expect(grounds[0].cost).toBeUndefined();
    expect(notes.join()).toContain("no price");
  });

  test("tells how far it is and stops when told to", async () => {
    const shares: number[] = [];
    await runDirect(rankingTask, request, { onProgress: (share) => shares.push(share) });
    expect(shares.length).toBeGreaterThan(3);
    expect(shares.at(-1)).toBe(1);
    const stop = new AbortController();
    const reason = new Error("enough");
    await expect(
      runDirect(rankingTask, request, { signal: stop.signal, onProgress: () => stop.abort(reason) }),
    ).rejects.toBe(reason);
  });

  test("a request that makes no sense is refused by name", () => {
    const wrong = (change: Partial<GroundRankingRequest>) => () => checkRanking({ ...request, ...change });
    expect(wrong({ paints: [] })).toThrow(/no base paint/);
    expect(wrong({ sizes: [4] })).toThrow(/paints in a ground = 4/);
    expect(wrong({ maxTint: 2 })).toThrow(/greatest share of a tint/);
    expect(wrong({ basecoatWet: 0 })).toThrow(/wet thickness of the basecoat/);
    expect(wrong({ maxCoats: 0 })).toThrow(/colour coats to try/);
    expect(wrong({ transferEfficiency: 0 })).toThrow(/transfer efficiency/);
  });
});
