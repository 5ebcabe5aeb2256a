/** Takes pictures of the built workbench: npm run screenshots. */
import { runBundled } from "./runBundled.mjs";
import { buildIfStale } from "./stale.mjs";

await buildIfStale();
// These two find or copy their own files, so they stay in node_modules.
await runBundled("test/e2e/screenshots.ts", "screenshots", { external: ["playwright-core", "axe-core"] });
