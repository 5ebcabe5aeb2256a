import { spawn } from "node:child_process";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { isFresh, root } from "./sources.mjs";

export { isFresh };

const sayAfterMs = 2000;
const limitMs = 240_000;

/**
 * Builds when the sources have changed since the last build. Quiet unless it takes long; then one line goes to
 * standard error, never to standard output.
 *
 * @throws Error with the complaint of the build when it fails
 */
export async function buildIfStale() {
  if (isFresh()) return;
  const timer = setTimeout(
    () => process.stderr.write("Building (once after each change of the sources) …\n"),
    sayAfterMs,
  );
  try {
    await runBuild();
  } finally {
    clearTimeout(timer);
  }
}

function runBuild() {
  const { VITEST: _, ...environment } = process.env;
  return new Promise((resolve, reject) => {
    const script = join(dirname(fileURLToPath(import.meta.url)), "build.mjs");
    const child = spawn(process.execPath, [script, "--if-stale"], {
      cwd: root,
      env: { ...environment, NODE_ENV: "production" },
      stdio: ["ignore", "pipe", "pipe"],
      timeout: limitMs,
    });
    let complaint = "";
    for (const stream of [child.stdout, child.stderr]) {
      stream.on("data", (chunk) => {
        complaint = (complaint + chunk).slice(-8000);
      });
    }
    child.once("error", reject);
    child.once("close", (code, signal) => {
      if (code === 0) resolve();
      else reject(new Error(`The build failed (${signal ?? `exit code ${code}`}).\n${complaint.trim()}`));
    });
  });
}
