import { availableParallelism } from "node:os";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { recipeDepths, tellingDoses } from "../../src/recipes/depths.ts";
import { searchTask } from "../../src/recipes/longTasks.ts";
import { searchPart } from "../../src/recipes/searchPart.ts";
import { subsetsOfSize } from "../../src/recipes/subsets.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { binderIndex, coats, lights, poppySeen, rack, sheen, surface } from "../recipes/lanternMatch.ts";
import { lanternSearch } from "../recipes/lanternSearch.ts";
import { line, medianMs } from "./measure.ts";
import { nelderMead } from "./nelderMead.ts";
import { culoriDeltaE2000, plainFilm, plainLab, plainMix, plainSeen } from "./plain.ts";
import { startThreads } from "./threads.ts";

/** How many choices the baseline works out; its time is extrapolated from them. */
const sample = 24;

/** The same objective in plain arrays, and its minimum by the simplex method from one middling recipe. */
function plainSolve(subset: readonly number[]): number {
  if (coats.kind !== "coats") throw new Error("the bench is about coats");
  const { grounds, wetThickness } = coats;
  const { externalReflection: k1, internalReflection: k2 } = surface;
  const targets = lights.map(({ weights }) => reflectanceToLab(poppySeen, weights, new Float64Array(3)));
  const components = [...subset.map((i) => rack[i]), rack[binderIndex]];
  const objective = (x: Float64Array): number => {
    const shares = [...x].map((v) => Math.max(0, v));
    const sum = shares.reduce((t, v) => t + v, 0);
    const kept = sum > 0.25 ? shares.map((v) => (0.25 * v) / sum) : shares;
    const { K, S, volumeSolids } = plainMix(components, [...kept, 1 - kept.reduce((t, v) => t + v, 0)]);
    return Math.max(
      ...grounds.map((ground) => {
        const seen = plainSeen(plainFilm(K, S, wetThickness * volumeSolids, [...ground]), k1, k2, sheen);
        return lights.reduce(
          (total, { weights, weight }, l) =>
            total + weight * culoriDeltaE2000(targets[l], plainLab(seen, weights)),
          0,
        );
      }),
    );
  };
  const telling = tellingDoses(recipeDepths(components, components.length - 1, coats), false);
  let x: Float64Array = telling;
  let value = Number.POSITIVE_INFINITY;
  // Started anew from its own answer until that helps no more: the simplex of one run may have collapsed.
  for (let run = 0; run < 10; run++) {
    const size = x.map((dose, i) => 0.5 * Math.max(dose, 0.05 * telling[i]));
    const answer = nelderMead(objective, x, size, 1e-4, 1000);
    const gained = value - answer.value;
    x = answer.x;
    value = answer.value;
    if (gained < 1e-3) break;
  }
  return value;
}

/** Times the recipe search of the demo rack (1092 choices, 3 lights, 3 grounds) beside the plain baseline. */
export async function benchSearch(): Promise<void> {
  const one = await medianMs(3, async () => {
    await runDirect(searchTask, lanternSearch);
  });
  const threads = availableParallelism();
  const pool = await startThreads(threads);
  const pooled = await medianMs(5, async () => {
    await pool.run(searchTask, lanternSearch);
  });
  await pool.close();

  const random = seededRandom(5);
  const counts = [13, 78, 286, 715];
  const all = counts.flatMap((count, k) => {
    const packed = subsetsOfSize({ candidates: [...Array(13).keys()], required: [], maxPastes: 4 }, k + 1);
    return Array.from({ length: count }, (_, s) => [...packed.subarray(s * (k + 1), (s + 1) * (k + 1))]);
  });
  const chosen = Array.from({ length: sample }, () => all[Math.floor(random() * all.length)]);
  const start = performance.now();
  const reached = chosen.map((subset) => plainSolve(subset));
  const plain = ((performance.now() - start) / sample) * all.length;
  const behind = chosen.map((subset, k) => {
    const { values } = searchPart({
      setting: lanternSearch,
      minShares: new Float64Array(rack.length - 1),
      size: subset.length,
      subsets: Int32Array.from(subset),
      starts: new Float64Array(0),
      effort: { trials: 12, descents: 1, smoothings: [1, 0.1, 0.003], seed: 1 },
    });
    return reached[k] - values[0];
  });
  behind.sort((p, q) => p - q);

  const what = `recipe search, ${all.length} choices, 3 lights, 3 grounds`;
  line(`${what}, ${threads} threads`, pooled, plain, "ms");
  line(`${what}, 1 thread`, one, plain, "ms");
  console.log(
    `  (plain: simplex method on plain arrays, restarted till it stands, one thread, ${sample} choices extrapolated to ${all.length}; ` +
      `it ends ${behind[sample >> 1].toFixed(2)} (median) and ${behind[sample - 1].toFixed(2)} (greatest) above ours)`,
  );
}
