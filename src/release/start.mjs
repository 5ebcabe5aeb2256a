/** Serves the workbench from an unpacked archive; notebooks are kept beside the start files. */
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { main } from "./server/main.js";

const program = dirname(fileURLToPath(import.meta.url));
process.exitCode = await main({
  argv: process.argv.slice(2),
  pageFolder: join(program, "page"),
  defaultFolder: join(dirname(program), "notebooks"),
  called: "start-bole",
});
