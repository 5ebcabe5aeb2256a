import { randomBytes } from "node:crypto";
import { createServer, type Server } from "node:http";
import type { AddressInfo, Socket } from "node:net";
import type { Duplex } from "node:stream";
import { codeOf } from "./atomicWrite.ts";
import { EventStream } from "./events.ts";
import { FolderError } from "./folder.ts";
import { FolderKeeper } from "./folderKeeper.ts";
import { createHandler, type Handler } from "./handler.ts";
import { LedgerStore } from "./ledger.ts";
import { Library } from "./library.ts";
import { Refusal } from "./refusal.ts";
import { createStaticPage } from "./staticPage.ts";
import { NotebookStore } from "./store.ts";
import { watchFolder } from "./watchFolder.ts";

/** Port that is tried first, so that the address can be kept as a bookmark. */
export const usualPort = 4720;

const graceMs = 3000;
const idleCheckMs = 20;

export interface WorkplaceOptions {
  /** Folder of the notebooks. */
  folder: string;
  /** Throws with a message that names the field when what a text says is no notebook. */
  validate?: (value: unknown) => void;
  examples: Record<string, string>;
  /** Folder of the built page; left out where something else serves the page. */
  pageFolder?: string;
  onFault?: (error: unknown) => void;
}

/** A notebook folder in use, with its request handler. */
export interface Workplace {
  store: NotebookStore;
  library: Library;
  ledger: LedgerStore;
  token: string;
  handler: Handler;
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
    const page = options.pageFolder ? createStaticPage(options.pageFolder, token) : undefined;
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
      token,
      handler: createHandler({ store, library, ledger, events, token, page, onFault: options.onFault }),
      isOnlyRead: keeper.isOnlyRead,
      setAddress: (address) => keeper.setAddress(address),
      endStreams: () => events.close(),
      async close() {
        for (const stopWatching of watchers) stopWatching();
        events.close();
        await store.settled();
        await library.settled();
        await ledger.settled();
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
  const connections = new Set<Socket>();
  const busy = new Set<Socket>();
  const server = createServer({ requestTimeout: 60_000, headersTimeout: 20_000 }, (request, response) => {
    busy.add(request.socket);
    response.once("close", () => busy.delete(request.socket));
    workplace.handler(request, response);
  });
  server.on("connection", (socket) => {
    connections.add(socket);
    socket.once("close", () => connections.delete(socket));
  });
  server.on("clientError", refuseMalformed);
  try {
    await bind(server, port ?? usualPort);
  } catch (error) {
    const code = codeOf(error);
    if (port !== undefined) {
      const reason = code === "EADDRINUSE" ? "is taken by another program" : `cannot be used (${code})`;
      throw new FolderError(`Port ${port} ${reason}. Choose another one with --port, or leave it out.`);
    }
    await bind(server, 0);
  }
  const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  await workplace.setAddress(address);
  return {
    address,
    async stop() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      workplace.endStreams();
      // Browsers keep connections in store on which they have not asked anything yet.
      const idle = setInterval(() => {
        for (const socket of connections) if (!busy.has(socket)) socket.destroySoon();
      }, idleCheckMs);
      const force = setTimeout(() => server.closeAllConnections(), graceMs);
      await closed;
      clearInterval(idle);
      clearTimeout(force);
      await workplace.close(); // last: requests under way may still have been writing
    },
  };
}

/** What is not even HTTP gets a reason as well, and the connection ends. */
function refuseMalformed(error: Error, socket: Duplex): void {
  const code = codeOf(error);
  if (code === "ECONNRESET" || !socket.writable) {
    socket.destroy();
    return;
  }
  const [status, reason] =
    code === "HPE_HEADER_OVERFLOW"
      ? ["431 Request Header Fields Too Large", "The head of the request is too long."]
      : code === "ERR_HTTP_REQUEST_TIMEOUT"
        ? ["408 Request Timeout", "The request took too long."]
        : ["400 Bad Request", "The request is not well-formed HTTP."];
  const body = JSON.stringify({ error: reason });
  socket.end(
    `HTTP/1.1 ${status}\r\nconnection: close\r\ncontent-type: application/json; charset=utf-8\r\n` +
      `content-length: ${Buffer.byteLength(body)}\r\n\r\n${body}`,
  );
}

function bind(server: Server, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen({ host: "127.0.0.1", port, exclusive: true }, () => {
      server.off("error", reject);
      resolve();
    });
  });
}
