/** The command line of an unpacked archive. */
import { main } from "./cli/main.js";

// A reader that stops early, as "head" does, is no fault.
process.stdout.on("error", (error) => {
  if (error.code === "EPIPE") process.exit();
  throw error;
});
process.exitCode = await main(process.argv.slice(2), undefined, {
  kindThread: new URL("./cli/kindThread.js", import.meta.url),
  called: "bole",
});
