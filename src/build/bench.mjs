/** Runs the benchmarks: npm run bench. */
import { runBundled } from "./runBundled.mjs";

await runBundled("test/bench/main.ts", "bench");
