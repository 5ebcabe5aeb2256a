/** Starts the local server: npm start -- [options]. Plain Node; the server itself is bundled into dist/server. */
import { join } from "node:path";
import { distFolder, root } from "../build/sources.mjs";
import { buildIfStale } from "../build/stale.mjs";

try {
  await buildIfStale();
  const { main } = await import("../../dist/server/main.js");
  process.exitCode = await main({
    argv: process.argv.slice(2),
    pageFolder: join(distFolder, "page"),
    defaultFolder: join(root, "notebooks"),
  });
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}
