/** Renders every example notebook to pictures and a page to browse: npm run gallery. */
import { runBundled } from "./runBundled.mjs";
import { buildIfStale } from "./stale.mjs";

await buildIfStale();
await runBundled("test/e2e/gallery.ts", "gallery", { external: ["playwright-core", "axe-core"] });
