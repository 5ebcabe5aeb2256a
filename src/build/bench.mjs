/** Runs the benchmarks: npm run bench. */
import { runBundled } from "./runBundled.mjs";

// The browser finds its own files, so it stays in node_modules.
await runBundled("test/bench/main.ts", "bench", { external: ["playwright-core"] });
