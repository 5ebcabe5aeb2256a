import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { messageOf } from "../graph/messageOf.ts";
import { examples, firstExample } from "./examples.ts";
import { FolderError } from "./folder.ts";
import { openBrowser } from "./openBrowser.ts";
import { listen, openWorkplace, usualPort } from "./server.ts";

interface ServerStart {
  argv: string[];
  /** Folder of the built page. */
  pageFolder: string;
  /** Notebook folder when none is named. */
  defaultFolder: string;
  environment?: NodeJS.ProcessEnv;
  print?: (line: string) => void;
  complain?: (line: string) => void;
}

const help = `Bole, the workbench for recolouring trim: serves the notebooks of a folder to the browser of this computer.

  npm start -- [options]

  --folder DIR   folder with the notebooks (default: notebooks in the project)
  --port N       port to use, 0 for any free one (default: ${usualPort}, or a free one when that is taken)
  --no-open      do not open the browser
  --help         show this text

Stop it with Ctrl+C. Every change is written at once.`;

/**
 * Serves until the process is told to stop (SIGINT, SIGTERM).
 *
 * @returns exit code: 0 after a stop, 1 when the folder or port cannot be used, 2 for a wrong option
 */
export async function main(start: ServerStart): Promise<number> {
  const { environment = process.env, print = console.log, complain = console.error } = start;
  let options: ReturnType<typeof readOptions>;
  try {
    options = readOptions(start.argv);
  } catch (error) {
    complain(`${messageOf(error)}\nSee npm start -- --help.`);
    return 2;
  }
  if (options.help) {
    print(help);
    return 0;
  }
  const stopAsked = stopSignal();
  try {
    const workplace = await openWorkplace({
      folder: resolve(options.folder ?? start.defaultFolder),
      pageFolder: start.pageFolder,
      examples,
      onFault: (error) => complain(`Fault of the server: ${error instanceof Error ? error.stack : error}`),
    });
    const server = await listen(workplace, options.port).catch(async (error) => {
      await workplace.close();
      throw error;
    });
    const hasExample = existsSync(resolve(workplace.store.folder, `${firstExample}.bole.json`));
    const address = hasExample ? `${server.address}/?notebook=${firstExample}` : `${server.address}/`;
    print(`Notebooks are in ${workplace.store.folder}`);
    if (workplace.isOnlyRead) {
      complain("The disk is full: notebooks can be read, and are saved again as soon as there is room.");
    }
    print(`Bole is at ${address} (stop with Ctrl+C)`);
    if (options.open) openBrowser(address, environment);
    await stopAsked;
    await server.stop();
    return 0;
  } catch (error) {
    complain(
      error instanceof FolderError ? error.message : `The server could not start: ${messageOf(error)}`,
    );
    return 1;
  }
}

function readOptions(argv: string[]) {
  const { values } = parseArgs({
    args: argv,
    options: {
      folder: { type: "string" },
      port: { type: "string" },
      "no-open": { type: "boolean" },
      help: { type: "boolean", short: "h" },
    },
  });
  const port = values.port === undefined ? undefined : Number(values.port);
  if (port !== undefined && !(/^\d+$/.test(values.port ?? "") && port <= 65535)) {
    throw new Error(`--port has to be a whole number from 0 to 65535, not "${values.port}".`);
  }
  if (values.folder === "") throw new Error("--folder has to name a folder.");
  return { folder: values.folder, port, open: !values["no-open"], help: values.help ?? false };
}

/** A second signal ends the process at once. */
function stopSignal(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ["SIGINT", "SIGTERM"] as const) {
      process.once(signal, () => {
        process.once(signal, () => process.exit(130));
        resolve();
      });
    }
  });
}
