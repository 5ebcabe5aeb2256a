import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { exactOpinion } from "../../src/ground/exactOpinion.ts";
import { filmBuildRule } from "../../src/ground/filmBuildRule.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import { groundTriangle } from "../../src/ground/map.ts";
import { RatioRefitter, refittedCurve } from "../../src/ground/refittedRatio.ts";
import { ExpectedDifference } from "../../src/ground/thicknessProof.ts";
import { groundMap, type MapAxis } from "../ground/groundMap.ts";
import { job, white } from "../ground/lanternJob.ts";
import { plainChain } from "../ground/plainChain.ts";
import { fitAt, request } from "../ground/refitJob.ts";
import { uncertaintyOf, usualJobSpread } from "../ground/wholeUncertainty.ts";
import { line, medianMs } from "./measure.ts";

const evenly = (points: number, from: number, to: number): Float64Array =>
  Float64Array.from({ length: points }, (_, k) => from + ((to - from) * k) / (points - 1));

/**
 * Maps, expected differences, Monte Carlo and second opinion of the demo job, beside a plain recompute of
 * every point.
 */
export async function benchGround(): Promise<void> {
  let sum = 0;
  const fixed = plannedPoint(job, 0.55);
  const worst = (differences: number[]) => Math.max(...differences);

  const ratio: MapAxis = { setting: "ratio", values: evenly(64, 0, 1) };
  const axes: [string, MapAxis][] = [
    ["ratio × coats", { setting: "coats", values: evenly(32, 0, 31) }],
    ["ratio × loading", { setting: "loading", values: evenly(32, 0.01, 0.32) }],
    ["ratio × film build", { setting: "build", values: evenly(32, 0.1, 2) }],
  ];
  for (const [name, y] of axes) {
    const ours = await medianMs(20, () => {
      sum += groundMap(job, ratio, y, fixed).worst[0];
    });
    const plain = await medianMs(3, () => {
      for (let j = 0; j < 32; j++) {
        for (let i = 0; i < 64; i++) {
          const value = y.values[j];
          const moved =
            y.setting === "build" ? { colourBuild: value, basecoatBuild: value } : { [y.setting]: value };
          sum += worst(plainChain(job, { ...fixed, ratio: ratio.values[i], ...moved }));
        }
      }
    });
    line(`map 64 × 32, ${name}, three parts`, ours, plain, "ms");
  }

  const three = { ...job, paints: [...job.paints, white] };
  const triangle = await medianMs(20, () => {
    sum += groundTriangle(three, 44, plannedPoint(three, 0)).worst[0];
  });
  const plainTriangle = await medianMs(3, () => {
    const points = groundTriangle(three, 44, plannedPoint(three, 0));
    for (let k = 0; k < points.worst.length; k++) {
      const [a, b, c] = points.shares.subarray(3 * k, 3 * k + 3);
      sum += worst(plainChain(three, { ...fixed, ratio: a + b > 0 ? b / (a + b) : 0.5, thirdShare: c }));
    }
  });
  line("triangle of 1035 blends, three parts", triangle, plainTriangle, "ms");

  const doubt = new ExpectedDifference(job, { colour: 0.2, basecoat: 0.2 });
  const expected = await medianMs(40, (k) => {
    sum += doubt.at((k % 40) / 40);
  });
  const [colours, bases] = [filmBuildRule(0.2, 16), filmBuildRule(0.2, 3)];
  const plainExpected = await medianMs(3, () => {
    for (const basecoatBuild of bases.builds) {
      for (const colourBuild of colours.builds) {
        sum += worst(plainChain(job, { ...fixed, colourBuild, basecoatBuild }));
      }
    }
  });
  line("expected ΔE00 at one ratio, 64 × 12 film builds", expected, plainExpected, "ms");

  const spread = { ...usualJobSpread, assumedBand: 0.05 };
  let seed = 0;
  const monteCarlo = await medianMs(6, () => {
    sum += uncertaintyOf({ job, point: fixed, spread, samples: 10_000, seed: seed++ }).worst.mean;
  });
  const random = seededRandom(1);
  // The plain way is timed on 500 chains and taken 70 times; it leaves doses, K and S alone.
  const plainCases = await medianMs(3, () => {
    for (let n = 0; n < 500; n++) {
      sum += worst(
        plainChain(job, {
          ...fixed,
          ratio: Math.min(1, Math.max(0, 0.55 + 0.02 * normal(random))),
          colourBuild: Math.max(0, 1 + 0.2 * normal(random)),
          basecoatBuild: Math.max(0, 1 + 0.2 * normal(random)),
        }),
      );
    }
  });
  line("Monte Carlo of 10,000 chains and 25,000 for contributions", monteCarlo, 70 * plainCases, "ms");

  const refitted = await medianMs(20, () => {
    sum += refittedCurve(new RatioRefitter(request), 26).points[13].objective;
  });
  // The plain way: fit from nothing at every ratio.
  const plainRefitted = await medianMs(3, () => {
    for (let k = 0; k < 26; k++) sum += fitAt(k / 25).residual;
  });
  line("refitted recipe at 26 ratios, three grounds, three lights", refitted, plainRefitted, "ms");

  const exact = await medianMs(20, () => {
    sum += exactOpinion(job, fixed).apart;
  });
  const exactFine = await medianMs(3, () => {
    sum += exactOpinion(job, fixed, { streams: 32 }).apart;
  });
  line("second opinion, exact transfer (plain: 32 directions)", exact, exactFine, "ms");
  if (!Number.isFinite(sum)) throw new Error("the bench computed nothing");
}
