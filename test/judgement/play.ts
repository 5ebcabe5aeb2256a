import { deltaE2000 } from "../../src/colour/difference.ts";
import { LChToLab } from "../../src/colour/Lab.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { eyeUnitsAt } from "../../src/judgement/judgedDifference.ts";
import { referenceCloud, holds, type JudgedPanel } from "../../src/judgement/referenceCloud.ts";
import { learnScale, sharpnessOf, type MeasuredPair } from "../../src/judgement/eyeScale.ts";
import { observer, randomWords, pouredOff } from "./simulatedObserver.ts";
import { inverse, Matrix } from "ml-matrix";

const n = Number(process.argv[2] ?? 100);
const offset = (Lab: ArrayLike<number>, u: number[]) => {
  const back = inverse(Matrix.from1DArray(3, 3, eyeUnitsAt(Lab)));
  // panel minus reference = +u -> slopes by the reference are negative
  const d = back.mmul(Matrix.columnVector(u)).to1DArray();
  return Float64Array.from(d, (v, i) => Lab[i] - v);
};
const q = (v: number[], s: number) => [...v].sort((a, b) => a - b)[Math.floor(s * (v.length - 1))];
function scene(random: () => number) {
  for (;;) {
    const ref = LChToLab([20 + 60 * random(), 70 * random(), 360 * random()], new Float64Array(3));
    const dir = [normal(random), normal(random), normal(random)];
    const len = Math.hypot(...dir);
    let t = 7;
    for (let i = 0; i < 20; i++) {
      const p = offset(ref, dir.map((x) => (x / len) * t));
      const e = deltaE2000(ref, p);
      t *= 7 / e;
    }
    const p = offset(ref, dir.map((x) => (x / len) * t));
    if (Math.abs(deltaE2000(ref, p) - 7) < 0.1 && p[0] > 5 && p[0] < 95) return { ref, first: p };
  }
}
for (const kind of ["ordinary", "coarse", "coarse learned", "random"]) {
  const err: number[][] = [[], [], [], [], [], [], []], hold: number[][] = [[], [], [], [], [], [], []], named: number[][] = [[], [], [], [], [], [], []];
  const poured: number[][] = [[], [], [], [], [], [], []];
  let ms = 0, calls = 0;
  let recog = 0;
  const bf: number[][] = [[], [], [], [], [], [], []];
  for (let s = 0; s < n; s++) {
    const random = seededRandom(1000 + s);
    const { ref, first } = scene(random);
    const obs = kind === "random" ? randomWords(random) : observer(random, kind.startsWith("coarse") ? 2 : 1);
    let pairs: MeasuredPair[] = [];
    if (kind === "coarse learned" || kind === "ordinary") {
      for (let k = 0; k < 10; k++) {
        const sc = scene(random);
        const size = Math.exp(random() * Math.log(8 / 0.5)) * 0.5;
        const d = [normal(random), normal(random), normal(random)];
        const p = offset(sc.ref, d.map((x) => (x / Math.hypot(...d)) * size));
        pairs.push({ reference: sc.ref, panel: p, judgement: obs.judge(sc.ref, p) });
      }
      if (sharpnessOf(learnScale(pairs)).coarserThanMost > 0.5) recog++;
      if (kind === "ordinary") pairs = [];
    }
    const eye = learnScale(pairs);
    let top = -99;
    const panels: JudgedPanel[] = [];
    let next: ArrayLike<number> = first;
    for (let k = 1; k <= 6; k++) {
      const truth = offset(next, [0, 1, 2].map(() => pouredOff * normal(random)));
      poured[k].push(deltaE2000(ref, truth));
      panels.push({ Lab: next, judgement: obs.judge(ref, truth) });
      const t0 = performance.now();
      const cloud = referenceCloud(panels, { eye });
      top = Math.max(top, Math.log(cloud.randomChance / (1 - cloud.randomChance)) - Math.log(0.03 / 0.97));
      bf[k].push(top);
      ms += performance.now() - t0; calls++;
      err[k].push(deltaE2000(ref, cloud.Lab.mean));
      hold[k].push(holds(cloud, ref) ? 1 : 0);
      named[k].push(cloud.random || (named[k - 1].length > s && named[k - 1][s]) ? 1 : 0);
      next = cloud.Lab.mean;
    }
  }
  const mean = (v: number[]) => v.reduce((a, b) => a + b, 0) / v.length;
  console.log(kind, "ms", (ms / calls).toFixed(1), "recognised", recog / n);
  for (let k = 1; k <= 6; k++) console.log(k, "poured", q(poured[k], 0.5).toFixed(2), q(poured[k], .9).toFixed(2), "mean", q(err[k], 0.5).toFixed(2), q(err[k], 0.9).toFixed(2), "hold", mean(hold[k]).toFixed(3), "named", mean(named[k]).toFixed(3), "bf", [0.05,0.1,0.2,0.5,0.8,0.9,0.95].map((x)=>q(bf[k],x).toFixed(1)).join(" "));
}
