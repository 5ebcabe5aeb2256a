/** The command line: npm run -s bole -- COMMAND. Plain Node; the program itself is bundled into dist/cli. */
import { buildIfStale } from "../build/stale.mjs";

// A reader that stops early, as "head" does, is no fault.
process.stdout.on("error", (error) => {
  if (error.code === "EPIPE") process.exit();
  throw error;
});

try {
  await buildIfStale();
  const { main } = await import("../../dist/cli/main.js");
  const kindThread = new URL("../../dist/cli/kindThread.js", import.meta.url);
  process.exitCode = await main(process.argv.slice(2), undefined, { kindThread });
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 2;
}
