import { runDirect } from "../../src/workers/direct.ts";
import { binderIndex, coats, lights, poppySeen, rack, sheen, surface } from "../solve/lanternMatch.ts";
const request = { components: rack, binderIndex, limits: { maxLoading: 0.25 }, finish: coats, target: { kind: "spectrum", seen: poppySeen }, lights, surface, sheen };
for (let i = 0; i < 8; i++) { const c = process.cpuUsage(); const t = performance.now(); await runDirect("recipe-search", request); const d = process.cpuUsage(c); console.log("wall", (performance.now() - t).toFixed(0), "cpu", ((d.user + d.system) / 1000).toFixed(0)); }
