import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** Folder of the project. */
export const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

/** Where builds go. */
export const distFolder = join(root, "dist");

/** Written last by a build; holds the fingerprint of the sources it was made from. */
export const stampFile = join(distFolder, "stamp.txt");

const sources = [
  "src",
  "cells",
  "data",
  "package-lock.json",
  "package.json",
  "vite.config.ts",
  "tsconfig.json",
];

/**
 * Fingerprint of everything a build is made from: paths, sizes and times of change. Unlike a comparison of times
 * it also notices files that were removed or put back with an older time.
 */
export function fingerprint() {
  const hash = createHash("sha256");
  hash.update(process.versions.node);
  for (const source of sources) addTo(hash, join(root, source));
  return hash.digest("hex");
}

/** Whether the build on disk was made from the present sources. */
export function isFresh() {
  try {
    return readFileSync(stampFile, "utf8") === fingerprint();
  } catch {
    return false;
  }
}

function addTo(hash, path) {
  const status = statSync(path, { throwIfNoEntry: false });
  if (!status) return;
  if (!status.isDirectory()) {
    hash.update(`${path}\0${status.size}\0${status.mtimeMs}\n`);
    return;
  }
  for (const name of readdirSync(path).sort()) addTo(hash, join(path, name));
}
