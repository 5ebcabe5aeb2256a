import { messageOf } from "../graph/messageOf.ts";
import { readOptions } from "./options.ts";
import { readNotebook } from "./readNotebook.ts";
import { type Command, exitCode, InputError, printJson } from "./surroundings.ts";

const help = `Computes every cell of a notebook and prints the outcomes.

  npm run -s bole -- run FILE

  FILE   a notebook, NAME.bole.json from the notebook folder or a file of data/examples; or a page saved from one

Prints JSON: ok, and for each cell its id, kind, title, status and results.
Exit code 0 when every cell is ok, 1 when one is in error or blocked, 2 when the file cannot be read.`;

/** bole run: computes a notebook without a browser. */
export const runCommand: Command = {
  name: "run",
  summary: "compute every cell of a notebook and print the outcomes",
  help,
  async run(argv, surroundings) {
    const { positionals } = readOptions(argv, {});
    if (positionals.length !== 1) throw new InputError("Give one notebook file.");
    const text = await readNotebook(surroundings, positionals[0]);
    // Loaded only here: the other commands need no cells.
    const { apartIn } = await import("./apartInThreads.ts");
    const { runNotebook } = await import("./runNotebook.ts");
    const { parseNotebook } = await import("../document/notebook.ts");
    try {
      parseNotebook(text);
    } catch (error) {
      throw new InputError(`${positionals[0]}: ${messageOf(error)}`);
    }
    const result = await runNotebook(text, apartIn(surroundings));
    printJson(surroundings, result);
    return result.ok ? exitCode.ok : exitCode.failed;
  },
};
