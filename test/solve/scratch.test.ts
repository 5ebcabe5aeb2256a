import { test } from "vitest";
import { fitAmounts } from "../../src/solve/fitAmounts.ts";
import { seededRandom } from "../../src/solve/seededRandom.ts";
import { binderIndex, coats, lights, opaque, poppySeen, pick, rack, seenOf, sheen, surface } from "./lanternMatch.ts";

test("scratch", () => {
  const random = seededRandom(5);
  for (const [name, finish] of [["coats", coats], ["opaque", opaque]] as const) {
    let bad = 0, worstA = 0; const t0 = performance.now();
    const rs: number[] = [];
    for (let c = 0; c < 200; c++) {
      const size = 2 + Math.floor(random() * 3);
      const ids: number[] = [];
      while (ids.length < size) { const i = Math.floor(random() * 13); if (!ids.includes(i)) ids.push(i); }
      const x = new Float64Array(13);
      const share = ids.map(() => 0.02 + random());
      const total = name === "opaque" ? 0.25 : 0.03 + 0.22 * random();
      const s = share.reduce((a, b) => a + b);
      ids.forEach((i, k) => { x[i] = total * share[k] / s; });
      const g1 = finish.kind === "coats" ? { ...finish, grounds: [finish.grounds[c % 3]] } : finish;
      const seen = seenOf(x, g1);
      const r = fitAmounts({ components: pick(...ids), binderIndex: size, limits: { maxLoading: 0.25 }, finish: g1, target: { kind: "spectrum", seen }, lights, surface, sheen });
      rs.push(r.residual);
      const err = Math.max(...ids.map((i, k) => Math.abs(r.volumes[k] / 100 - x[i])));
      if (r.residual > 0.01 || err > 1e-3) { bad++; console.log(c, r.status, r.residual, err, ids.map((i) => rack[i].name + " " + (100*x[i]).toFixed(3)).join(", "), [...r.volumes].map((v) => v.toFixed(3)).join(" ")); }
      worstA = Math.max(worstA, err);
    }
    console.log(name, "bad", bad, "worst amount", worstA, "max residual", Math.max(...rs), "ms each", (performance.now() - t0) / 200);
  }
  for (const ids of [[2, 7, 0], [2, 7, 0, 9], [6, 7, 2, 1], [2,3,5,7,8,0]]) {
    const t1 = performance.now();
    const r = fitAmounts({ components: pick(...ids), binderIndex: ids.length, limits: { maxLoading: 0.25 }, finish: coats, target: { kind: "spectrum", seen: poppySeen }, lights, surface, sheen });
    console.log(r.status, r.residual, [...r.volumes].map((v) => v.toFixed(3)).join(" "), r.differences.map((d) => [...d].map((v) => v.toFixed(3)).join("/")).join(" | "), performance.now() - t1);
  }
  const all = fitAmounts({ components: rack, binderIndex, limits: { maxLoading: 0.25 }, finish: coats, target: { kind: "spectrum", seen: poppySeen }, lights, surface, sheen });
  console.log(all.status, all.residual, [...all.volumes].map((v) => v.toFixed(3)).join(" "), all.differences.map((d) => [...d].map((v) => v.toFixed(3)).join("/")).join(" | "));
  const lab = fitAmounts({ components: pick(2, 7, 0), binderIndex: 3, limits: { maxLoading: 0.25 }, finish: opaque, target: { kind: "lab", Lab: [45, 60, 40] }, lights, surface, sheen });
  console.log(lab);
});
