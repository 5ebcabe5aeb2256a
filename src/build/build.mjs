/**
 * Builds the page, the server and the command line into dist/.
 *
 *   node src/build/build.mjs [--if-stale]
 */
import { randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { mkdir, readdir, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { withBuildLock } from "./buildLock.mjs";
import { bundleForNode } from "./bundle.mjs";
import { buildHandout } from "./handout.mjs";
import { distFolder, fingerprint, isFresh, root, stampFile } from "./sources.mjs";

// Before Vite is loaded: anything else builds the development edition of Lit into the page, and the settings for
// tests have another root.
process.env.NODE_ENV = "production";
delete process.env.VITEST;

const parts = ["page", "server", "cli"];

async function buildPage(outDir) {
  const { build } = await import("vite");
  await build({
    configFile: join(root, "vite.config.ts"),
    mode: "production",
    logLevel: "warn",
    build: { outDir, emptyOutDir: true, reportCompressedSize: false },
  });
}

/** Builds beside the present build and swaps the parts in, so that a failed build leaves the present one usable. */
async function buildAll() {
  for (const name of await readdir(distFolder)) {
    // Left by a build that was interrupted: the lock is held, so no other build is at work.
    if (name.startsWith("building-")) await rm(join(distFolder, name), { recursive: true, force: true });
  }
  const staging = join(distFolder, `building-${process.pid}-${randomUUID().slice(0, 8)}`);
  try {
    const made = fingerprint();
    await buildPage(join(staging, "page"));
    // Beside the page, so that the workbench can fetch it.
    await buildHandout(join(staging, "page", "handout.json"));
    await bundleForNode("src/server/main.ts", join(staging, "server"));
    await bundleForNode("src/cli/main.ts", join(staging, "cli"), {
      also: { kindThread: "src/cli/kindThread.ts" },
    });
    await rm(stampFile, { force: true });
    for (const part of parts) {
      const place = join(distFolder, part);
      if (existsSync(place)) await rename(place, join(staging, `old-${part}`));
      await rename(join(staging, part), place);
    }
    await writeFile(stampFile, made);
  } finally {
    await rm(staging, { recursive: true, force: true });
  }
}

await mkdir(distFolder, { recursive: true });
await withBuildLock(join(distFolder, "build.lock"), async () => {
  if (process.argv.includes("--if-stale") && isFresh()) return;
  await buildAll();
});
