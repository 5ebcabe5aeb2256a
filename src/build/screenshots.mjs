/** Takes pictures of the built workbench: npm run screenshots. */
import { runBundled } from "./runBundled.mjs";
import { buildIfStale } from "./stale.mjs";

await buildIfStale();
// The browser driver finds its own files beside itself, so it stays in node_modules.
await runBundled("test/e2e/screenshots.ts", "screenshots", {
  external: ["playwright-core", /browserLaunch\.mjs$/],
});
