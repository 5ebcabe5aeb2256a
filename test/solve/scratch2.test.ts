import { test } from "vitest";
import { prepareMatch } from "../../src/solve/fitAmounts.ts";
import { tellingDoses } from "../../src/solve/depths.ts";
import { trialPoints } from "../../src/solve/trialPoints.ts";
import { Descender, type Limits } from "../../src/solve/trustRegion.ts";
import { seededRandom } from "../../src/solve/seededRandom.ts";
import { binderIndex, coats, lights, opaque, poppySeen, rack, seenOf, sheen, surface } from "./lanternMatch.ts";
import { LabToXYZ } from "../../src/colour/Lab.ts";

function subsets(n: number, size: number): number[][] {
  if (size === 0) return [[]];
  const out: number[][] = [];
  const go = (from: number, cur: number[]) => { if (cur.length === size) { out.push(cur); return; } for (let i = from; i < n; i++) go(i + 1, [...cur, i]); };
  go(0, []);
  return out;
}

function limitsOf(n: number, cap: number): Limits {
  return { low: new Float64Array(n), high: new Float64Array(n).fill(1), a: new Float64Array(n).fill(1), b: Float64Array.of(cap), equalities: 0 };
}

test("scratch2", () => {
  const random = seededRandom(99);
  const targets: [string, Float64Array][] = [["poppy", poppySeen]];
  // out of gamut-ish: smooth random spectra
  for (let t = 0; t < 3; t++) {
    const c = 450 + 200 * random(), w = 20 + 60 * random(), lo = 0.02 + 0.2 * random(), hi = 0.4 + 0.5 * random();
    targets.push(["edge" + t, Float64Array.from({ length: 36 }, (_, k) => lo + (hi - lo) / (1 + Math.exp(-(380 + 10 * k - c) / (w / 3))))]);
    const c2 = 420 + 220 * random();
    targets.push(["band" + t, Float64Array.from({ length: 36 }, (_, k) => lo + (hi - lo) * Math.exp(-(((380 + 10 * k - c2) / 50) ** 2)))]);
  }
  for (const [name, seen] of targets) {
    for (const [fname, finish] of [["coats", coats], ["opaque", opaque]] as const) {
      const match = prepareMatch({ components: rack, binderIndex, limits: { maxLoading: 0.25 }, finish, target: { kind: "spectrum", seen }, lights, surface, sheen });
      const { forward } = match;
      const telling = tellingDoses(match.depths, finish.kind === "opaque");
      const f = new Float64Array(forward.grounds);
      const run = (sub: number[], trials: number, keep: number, smoothings: number[], parents: Float64Array[]) => {
        const n = sub.length;
        forward.use(sub);
        const limits = limitsOf(n, 0.25);
        const d = descenders[n];
        const pts = trialPoints(sub.map((i) => telling[i]), limits, trials, 3);
        const cands: { x: Float64Array; v: number }[] = [];
        forward.smoothing = 0;
        for (let t = 0; t < trials; t++) { const x = pts.slice(t * n, t * n + n); cands.push({ x, v: forward.value(x, f) }); }
        const ps: { x: Float64Array; v: number }[] = parents.map((x) => ({ x, v: forward.value(x, f) }));
        cands.sort((a, b) => a.v - b.v);
        ps.sort((a, b) => a.v - b.v);
        const starts = [...ps.slice(0, 1), ...cands.slice(0, keep)];
        let best = Infinity, bx = starts[0].x, it = 0;
        for (const s of starts) {
          const x = s.x.slice();
          const r = d.minimise(forward, x, limits, { smoothings, maxIterations: 100 });
          it += r.iterations;
          forward.smoothing = 0;
          const v = forward.value(x, f);
          if (v < best) { best = v; bx = x; }
        }
        return { best, bx, it };
      };
      const descenders = [0, 1, 2, 3, 4].map((n) => new Descender(n, forward.grounds, 1));
      const report = (trials: number, keep: number, smoothings: number[]) => {
        const t0 = performance.now();
        const sol = new Map<string, { best: number; bx: Float64Array }>();
        let iters = 0, count = 0;
        for (let size = 1; size <= 4; size++) for (const sub of subsets(13, size)) {
          const parents: Float64Array[] = [];
          if (size > 1) for (let k = 0; k < size; k++) {
            const p = sol.get(sub.filter((_, j) => j !== k).join())!;
            const x = new Float64Array(size);
            let q = 0;
            for (let j = 0; j < size; j++) if (j !== k) x[j] = p.bx[q++];
            parents.push(x);
          }
          const r = run(sub, trials, keep, smoothings, parents);
          iters += r.it; count++;
          sol.set(sub.join(), r);
        }
        return { sol, ms: performance.now() - t0, iters: iters / count };
      };
      const fine = report(60, 8, [1, 0.1, 0.01, 1e-3]);
      const bestOf = (m: Map<string, { best: number }>) => [...m].sort((a, b) => a[1].best - b[1].best);
      const top = bestOf(fine.sol);
      console.log(name, fname, "fine", fine.ms.toFixed(0), "ms", fine.iters.toFixed(1), "it", top.slice(0, 3).map(([k, v]) => k + ":" + v.best.toFixed(4)).join(" "), "10th", top[9][1].best.toFixed(3), "32th", top[31][1].best.toFixed(3), "100th", top[99][1].best.toFixed(3), "median", top[546][1].best.toFixed(2));
      for (const [trials, keep] of [[12, 1], [12, 2], [24, 1]] as const) {
        const r = report(trials, keep, [1, 0.1, 0.01]);
        let worse = 0, max = 0, worseTop = 0;
        for (const [k, v] of fine.sol) { const d = r.sol.get(k)!.best - v.best; if (d > 0.01) worse++; max = Math.max(max, d); }
        for (const [k, v] of top.slice(0, 32)) { if (r.sol.get(k)!.best - v.best > 0.01) worseTop++; }
        console.log("   ", trials, keep, r.ms.toFixed(0), "ms", r.iters.toFixed(1), "it", "worse", worse, "max", max.toFixed(3), "worse in top 32", worseTop, "best", bestOf(r.sol)[0][1].best.toFixed(4));
      }
    }
  }
}, 600000);
