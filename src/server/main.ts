import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { messageOf } from "../graph/messageOf.ts";
import { examples } from "./examples.ts";
import { FolderError } from "./folder.ts";
import { fileEnding } from "./notebookName.ts";
import { openBrowser } from "./openBrowser.ts";
import { listen, openWorkplace, usualPort } from "./server.ts";
import { configFolder } from "./shop/configFolder.ts";
import { listenShop, usualShopPort } from "./shop/listenShop.ts";
import { localAddresses, numberOf } from "./shop/networks.ts";
import type { Shop } from "./shop/shop.ts";

interface ServerStart {
  argv: string[];
  /** Folder of the built page. */
  pageFolder: string;
  /** Notebook folder when none is named. */
  defaultFolder: string;
  /** What a person types to start it. */
  called?: string;
  environment?: NodeJS.ProcessEnv;
  print?: (line: string) => void;
  complain?: (line: string) => void;
}

const help = (
  called: string,
) => `Bole, the workbench for recolouring trim: serves the notebooks of a folder to the browser of this computer.

  ${called} [options]

  --folder DIR   folder with the notebooks (default: notebooks, where Bole itself is)
  --port N       port to use, 0 for any free one (default: ${usualPort}, or a free one when that is taken)
  --no-open      do not open the browser
  --shop-network       open the notebooks to tablets and phones of the local network as well, each let in by you
  --shop-address A     only at this address of this computer (default: at each in a private network)
  --shop-port N        port to use there (default: ${usualShopPort}, or a free one when that is taken)
  --help         show this text

Stop it with Ctrl+C. Every change is written at once.`;

/**
 * Serves until the process is told to stop (SIGINT, SIGTERM).
 *
 * @returns exit code: 0 after a stop, 1 when the folder or port cannot be used, 2 for a wrong option
 */
export async function main(start: ServerStart): Promise<number> {
  const { called = "npm start --", environment = process.env } = start;
  const { print = console.log, complain = console.error } = start;
  let options: ReturnType<typeof readOptions>;
  try {
    options = readOptions(start.argv);
  } catch (error) {
    complain(`${messageOf(error)}\nSee ${called} --help.`);
    return 2;
  }
  if (options.help) {
    print(help(called));
    return 0;
  }
  const stopAsked = stopSignal();
  try {
    const workplace = await openWorkplace({
      folder: resolve(options.folder ?? start.defaultFolder),
      pageFolder: start.pageFolder,
      examples,
      onFault: (error) => complain(`Fault of the server: ${error instanceof Error ? error.stack : error}`),
      shop: options.shop && {
        configFolder: configFolder(environment),
        addresses: localAddresses(options.shop.address),
      },
    });
    const server = await listen(workplace, options.port).catch(async (error) => {
      await workplace.close();
      throw error;
    });
    const stopShop = await (workplace.shop ? listenShop(workplace, options.shop?.port) : undefined)?.catch(
      async (error) => {
        await server.stop();
        throw error;
      },
    );
    const last = workplace.lastUsed.name;
    const isThere = last !== undefined && existsSync(resolve(workplace.store.folder, last + fileEnding));
    // The first time the opening page, whose first card is the demo.
    const address = isThere
      ? `${server.address}/?notebook=${encodeURIComponent(last)}`
      : `${server.address}/`;
    print(`Notebooks are in ${workplace.store.folder}`);
    if (workplace.isOnlyRead) {
      complain("The disk is full: notebooks can be read, and are saved again as soon as there is room.");
    }
    if (workplace.shop) for (const line of shopWords(workplace.shop.network)) print(line);
    print(`Bole is at ${address} (stop with Ctrl+C)`);
    if (options.open) openBrowser(address, environment);
    await stopAsked;
    await stopShop?.();
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
      "shop-network": { type: "boolean" },
      "shop-address": { type: "string" },
      "shop-port": { type: "string" },
      help: { type: "boolean", short: "h" },
    },
  });
  const port = portOf("--port", values.port);
  const shop = { address: values["shop-address"], port: portOf("--shop-port", values["shop-port"]) };
  const isShop = values["shop-network"] ?? false;
  if (!isShop && (shop.address !== undefined || shop.port !== undefined))
    throw new Error("--shop-address and --shop-port go with --shop-network.");
  if (shop.address !== undefined && numberOf(shop.address) === undefined)
    throw new Error(`--shop-address has to be an address such as 192.168.1.20, not "${shop.address}".`);
  if (values.folder === "") throw new Error("--folder has to name a folder.");
  return {
    folder: values.folder,
    port,
    open: !values["no-open"],
    help: values.help ?? false,
    shop: isShop ? shop : undefined,
  };
}

function portOf(option: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  if (!(/^\d+$/.test(text) && Number(text) <= 65535))
    throw new Error(`${option} has to be a whole number from 0 to 65535, not "${text}".`);
  return Number(text);
}

/** The reach of the shop network, and how a device makes sure that it is this computer. */
function shopWords({ state, identity }: Shop): string[] {
  return [
    ...state.places.map(
      ({ place, reach }) =>
        `The shop network is open at ${place}, for ${reach}. A device comes in when you pair it: Notebooks, Devices.`,
    ),
    `SHA-256 fingerprint of its certificate, to compare with what the browser of the device shows:\n  ${identity.fingerprint}`,
    ...(identity.isNew
      ? ["A new authority was made: devices that had installed an earlier one warn again."]
      : []),
  ];
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
