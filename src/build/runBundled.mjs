import { existsSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { bundleForNode } from "./bundle.mjs";
import { distFolder, root } from "./sources.mjs";

/** Bundles a TypeScript program of the project and runs it in this process. */
export async function runBundled(entry, name, options) {
  process.env.NODE_ENV ??= "production";
  if (!existsSync(join(root, entry))) throw new Error(`There is no ${entry}.`);
  const outDir = join(distFolder, name);
  await bundleForNode(entry, outDir, options);
  await import(pathToFileURL(join(outDir, "main.js")).href);
}
