import { describe, expect, test } from "vitest";
import type { Component } from "../../src/coating/component.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { recipeDepths, tellingDoses } from "../../src/recipes/depths.ts";
import type { Finish } from "../../src/recipes/finish.ts";
import { prepareMatch } from "../../src/recipes/fitAmounts.ts";
import type { ForwardModel } from "../../src/recipes/forward.ts";
import { searchTask } from "../../src/recipes/longTasks.ts";
import { subsetsOfSize } from "../../src/recipes/subsets.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { nelderMead } from "../bench/nelderMead.ts";
import { cases } from "../howMuch.ts";
import { coats, lights, opaque, pick, rack, sheen, surface } from "./lanternMatch.ts";

const cap = 0.25;

/** Smooth spectra of strong colours that no recipe of the rack reaches: sharp edges and narrow bands. */
function strongTarget(random: () => number): Float64Array {
  const low = 0.005 + 0.03 * random();
  const high = 0.6 + 0.35 * random();
  const place = 420 + 230 * random();
  const width = 6 + 14 * random();
  const band = random() < 0.5;
  return Float64Array.from({ length: 36 }, (_, k) => {
    const nm = 380 + 10 * k;
    const share = band
      ? Math.exp(-(((nm - place) / (4 * width)) ** 2))
      : 1 / (1 + Math.exp(-(nm - place) / width));
    return low + (high - low) * share;
  });
}

/** Doses ≥ 0 whose sum keeps the loading: at most the cap, or just the cap where it is held. */
function kept(x: Float64Array, held: boolean): Float64Array {
  const y = x.map((v) => Math.max(0, v));
  const sum = y.reduce((t, v) => t + v, 0);
  if (sum > cap || (held && sum > 0)) for (let i = 0; i < y.length; i++) y[i] *= cap / sum;
  return y;
}

interface GridPoint {
  subset: number[];
  x: Float64Array;
}

/** Every choice of up to `size` pastes with every combination of dose levels, and CIELAB of each point. */
class Grid {
  readonly points: GridPoint[] = [];
  readonly labs: Float32Array[] = [];

  constructor(components: readonly Component[], finish: Finish, size: number, levels: readonly number[]) {
    const binderIndex = components.length - 1;
    const held = finish.kind === "opaque";
    const { forward } = prepareMatch(matchOf(components, finish, new Float64Array(36).fill(0.5)));
    const telling = tellingDoses(recipeDepths(components, binderIndex, finish), held);
    const out = new Float64Array(3 * forward.grounds * lights.length);
    const seen = new Set<string>();
    for (let count = 1; count <= size; count++) {
      const packed = subsetsOfSize({ candidates: [...telling.keys()], required: [], maxPastes: size }, count);
      for (let at = 0; at < packed.length; at += count) {
        const subset = [...packed.subarray(at, at + count)];
        forward.use(subset);
        for (let n = 0; n < levels.length ** count; n++) {
          const x = kept(
            Float64Array.from(
              subset,
              (i, k) => telling[i] * levels[Math.floor(n / levels.length ** k) % levels.length],
            ),
            held,
          );
          // Where the loading is held, proportions repeat.
          const key = held ? `${subset}:${[...x].map((v) => v.toPrecision(6))}` : "";
          if (held && seen.has(key)) continue;
          if (held) seen.add(key);
          forward.labsInto(x, out);
          this.points.push({ subset, x });
          this.labs.push(Float32Array.from(out));
        }
      }
    }
  }
}

function matchOf(components: readonly Component[], finish: Finish, seen: Float64Array) {
  return {
    components,
    binderIndex: components.length - 1,
    limits: { maxLoading: cap },
    finish,
    target: { kind: "spectrum", seen },
    lights,
    surface,
    sheen,
  } as const;
}

/** Best objective by brute force: all grid points, then the simplex method from the best of different choices. */
function bruteForce(
  grid: Grid,
  forward: ForwardModel,
  targets: readonly Float64Array[],
  held: boolean,
): number {
  const found = new Map<string, { value: number; point: GridPoint }>();
  const grounds = forward.grounds;
  grid.labs.forEach((labs, p) => {
    let worst = 0;
    for (let g = 0; g < grounds; g++) {
      let sum = 0;
      for (let l = 0; l < lights.length; l++) {
        const at = 3 * (g * lights.length + l);
        sum += lights[l].weight * deltaE2000(targets[l], labs.subarray(at, at + 3));
      }
      worst = Math.max(worst, sum);
    }
    const point = grid.points[p];
    const key = point.subset.join();
    const other = found.get(key);
    if (!other || worst < other.value) found.set(key, { value: worst, point });
  });
  const starts = [...found.values()].sort((p, q) => p.value - q.value).slice(0, 25);
  let best = Number.POSITIVE_INFINITY;
  const f = new Float64Array(grounds);
  forward.smoothing = 0;
  for (const { point } of starts) {
    forward.use(point.subset);
    let x = point.x;
    // Started anew from its own answer until it stands: the simplex of one run may have collapsed.
    for (let run = 0, before = Number.POSITIVE_INFINITY; run < 6; run++) {
      const size = x.map((v) => 0.3 * v + 1e-4);
      const answer = nelderMead((y) => forward.value(kept(y, held), f), x, size, 1e-5, 600);
      x = kept(answer.x, held);
      if (answer.value < best) best = answer.value;
      if (before - answer.value < 1e-4) break;
      before = answer.value;
    }
  }
  return best;
}

/** Search beside brute force on targets outside the gamut: search minus brute force, one for each. */
async function gaps(
  components: readonly Component[],
  finish: Finish,
  size: number,
  levels: readonly number[],
  count: number,
  seed: number,
): Promise<number[]> {
  const random = seededRandom(seed);
  const grid = new Grid(components, finish, size, levels);
  const found: number[] = [];
  while (found.length < count) {
    const match = matchOf(components, finish, strongTarget(random));
    const { candidates } = await runDirect(searchTask, {
      ...match,
      maxPastes: size,
      show: 4,
    });
    const own = Math.min(...candidates.map(({ objective }) => objective));
    // Inside the gamut or all but: not what this test is about.
    if (own < 0.5) continue;
    const { forward, targets } = prepareMatch(match);
    found.push(own - bruteForce(grid, forward, targets, finish.kind === "opaque"));
  }
  return found;
}

const levels = [0.03, 0.1, 0.3, 0.8, 2, 5];

describe("no wrong optimum on targets outside the gamut", () => {
  // independent slow method: a grid over all doses of all choices, polished by the simplex method (Nelder, Mead 1965)
  test(`${cases(42)} targets, seven pastes, up to three, over three grounds in three lights`, async () => {
    const found = await gaps(pick(0, 1, 2, 4, 8, 9, 10), coats, 3, levels, cases(42), 41);
    expect(Math.max(...found)).toBeLessThan(0.01);
    // Now and then a grid this coarse leads the simplex method astray; the search may then be better, not worse.
    expect(found.filter((gap) => Math.abs(gap) < 0.01).length).toBeGreaterThanOrEqual(found.length - 1);
  });

  test("5 targets, the whole rack, up to three, opaque", async () => {
    const found = await gaps(rack, opaque, 3, [0.03, 0.15, 0.5, 1.5, 4], 5, 42);
    expect(Math.max(...found)).toBeLessThan(0.01);
    // Now and then a grid this coarse leads the simplex method astray; the search may then be better, not worse.
    expect(found.filter((gap) => Math.abs(gap) < 0.01).length).toBeGreaterThanOrEqual(found.length - 1);
  });

  test(`${cases(3)} targets, the whole rack, up to four, over three grounds in three lights`, async () => {
    const found = await gaps(rack, coats, 4, [0.05, 0.4, 3], cases(3), 43);
    expect(Math.max(...found)).toBeLessThan(0.01);
    // Now and then a grid this coarse leads the simplex method astray; the search may then be better, not worse.
    expect(found.filter((gap) => Math.abs(gap) < 0.01).length).toBeGreaterThanOrEqual(found.length - 1);
  });
});
