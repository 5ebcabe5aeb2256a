import { randomBytes } from "node:crypto";
import { createServer } from "node:http";
import { codeOf } from "./atomicWrite.ts";
import { loopbackDoor } from "./door.ts";
import { EventStream } from "./events.ts";
import { FolderError } from "./folder.ts";
import { FolderKeeper } from "./folderKeeper.ts";
import { createHandler, type Handler } from "./handler.ts";
import { type HttpServer, httpServer, requestLimits } from "./httpServer.ts";
import { LastUsed } from "./lastUsed.ts";
import { LedgerStore } from "./ledger.ts";
import { Library } from "./library.ts";
import { Refusal } from "./refusal.ts";
import { Photographs } from "./shop/photographs.ts";
import { Shop, type ShopPlace } from "./shop/shop.ts";
import { shopDoor } from "./shop/shopDoor.ts";
import { createStaticPage } from "./staticPage.ts";
import { NotebookStore } from "./store.ts";
import { watchFolder } from "./watchFolder.ts";

/** Port that is tried first, so that the address can be kept as a bookmark. */
export const usualPort = 4720;

export interface WorkplaceOptions {
  /** Folder of the notebooks. */
  folder: string;
  /** Throws with a message that names the field when what a text says is no notebook. */
  validate?: (value: unknown) => void;
  examples: Record<string, string>;
  /** Folder of the built page; left out where something else serves the page. */
  pageFolder?: string;
  onFault?: (error: unknown) => void;
  /** Opens the notebooks to the local network as well; left out, they are for this computer alone. */
  shop?: ShopPlace;
}

/** A notebook folder in use, with its request handler. */
export interface Workplace {
  store: NotebookStore;
  library: Library;
  ledger: LedgerStore;
  lastUsed: LastUsed;
  token: string;
  handler: Handler;
  /** The shop network with the handler for its requests. */
  shop?: { readonly network: Shop; readonly handler: Handler };
  /** Whether the folder could only be read at the start, because its disk was full. */
  isOnlyRead: boolean;
  setAddress(address: string): Promise<void>;
  /** Ends the event streams, which would keep connections open. */
  endStreams(): void;
  /** Waits for writes and gives the folder free. */
  close(): Promise<void>;
}

/**
 * Takes a notebook folder into use.
 *
 * @throws FolderError when the folder cannot be used or another server uses it
 */
export async function openWorkplace(options: WorkplaceOptions): Promise<Workplace> {
  const keeper = await FolderKeeper.open(options.folder);
  const { places } = keeper;
  try {
    const token = randomBytes(24).toString("hex");
    const page = options.pageFolder ? createStaticPage(options.pageFolder) : undefined;
    const events = new EventStream();
    const store = await NotebookStore.open({
      places,
      readiness: keeper,
      validate: options.validate,
      examples: options.examples,
      onChange: (change) => events.send("notebook", change),
    });
    const library = await Library.open({
      places,
      readiness: keeper,
      onChange: (change) => events.send("library", change),
    });
    const ledger = await LedgerStore.open({
      places,
      readiness: keeper,
      onChange: (news) => events.send("ledger", news),
    });
    const shop = options.shop && (await Shop.open({ ...options.shop, folder: places.root }));
    const photographs = new Photographs((news) => events.send("photograph", news));
    const lastUsed = await LastUsed.open(places);
    const common = {
      store,
      library,
      ledger,
      lastUsed,
      events,
      page,
      shop,
      photographs,
      onFault: options.onFault,
    };
    const watch = (folder: string, files: { scan(): Promise<void> }) =>
      watchFolder(folder, () => {
        void files.scan().catch((error) => {
          // A folder that is gone is told to whoever asks for something in it.
          if (!(error instanceof Refusal)) options.onFault?.(error);
        });
      });
    const watchers = [
      watch(places.root, store),
      watch(places.library, library),
      watch(places.library, ledger),
    ];
    return {
      store,
      library,
      ledger,
      lastUsed,
      token,
      handler: createHandler({ ...common, door: loopbackDoor(token) }),
      shop: shop && { network: shop, handler: createHandler({ ...common, door: shopDoor(shop, page) }) },
      isOnlyRead: keeper.isOnlyRead,
      setAddress: (address) => keeper.setAddress(address),
      endStreams: () => events.close(),
      async close() {
        for (const stopWatching of watchers) stopWatching();
        events.close();
        await store.settled();
        await library.settled();
        await ledger.settled();
        await lastUsed.settled();
        await keeper.release();
      },
    };
  } catch (error) {
    await keeper.release();
    throw error;
  }
}

/** A server that listens. */
interface RunningServer {
  address: string;
  stop(): Promise<void>;
}

/**
 * Listens on the loopback address only.
 *
 * @param port a port, 0 for any free one, or undefined for the usual one and a free one when that is taken
 * @throws FolderError when the given port is taken
 */
export async function listen(workplace: Workplace, port: number | undefined): Promise<RunningServer> {
  const server = httpServer(
    (take) => createServer(requestLimits, take),
    workplace.handler,
    workplace.endStreams,
  );
  const bound = await bindOrFree(server, "127.0.0.1", port, usualPort, "--port");
  const address = `http://127.0.0.1:${bound}`;
  await workplace.setAddress(address);
  return {
    address,
    async stop() {
      await server.stop();
      await workplace.close(); // last: requests under way may still have been writing
    },
  };
}

/** @param option the option that names the port, for the message */
export async function bindOrFree(
  server: HttpServer,
  host: string,
  port: number | undefined,
  usual: number,
  option: string,
): Promise<number> {
  try {
    return await server.bind(host, port ?? usual);
  } catch (error) {
    const code = codeOf(error);
    if (code === "EADDRNOTAVAIL") throw new FolderError(`${host} is no address of this computer.`);
    if (port === undefined) return server.bind(host, 0);
    const reason = code === "EADDRINUSE" ? "is taken by another program" : `cannot be used (${code})`;
    throw new FolderError(`Port ${port} ${reason}. Choose another one with ${option}, or leave it out.`);
  }
}
