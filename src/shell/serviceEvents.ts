import type {
  LedgerNews,
  LibraryChange,
  NotebookChange,
  PhotographNews,
  ServerEvents,
} from "../document/served.ts";

/** What the server tells every page, and whether it is there. */
export type ServerNews =
  | { readonly kind: "notebook"; readonly change: NotebookChange }
  | { readonly kind: "library"; readonly change: LibraryChange }
  | { readonly kind: "ledger"; readonly change: LedgerNews }
  | { readonly kind: "photograph"; readonly change: PhotographNews }
  | { readonly kind: "there" }
  | { readonly kind: "away" };

const channelName = "bole-server-news";
const lockName = "bole-server-news";
const againMs = 4000;

/**
 * Listen to the server. Of all windows of this browser one holds the connection and passes the news on: a browser
 * allows few connections to one server, and windows that each held one would starve the saves.
 *
 * @returns the way to stop
 */
export function listenToServer(tell: (news: ServerNews) => void): () => void {
  const stopped = new AbortController();
  if (typeof navigator.locks === "undefined" || typeof BroadcastChannel === "undefined") {
    connect(tell, stopped.signal);
    return () => stopped.abort();
  }
  const channel = new BroadcastChannel(channelName);
  channel.onmessage = (event: MessageEvent<ServerNews>) => tell(event.data);
  navigator.locks
    .request(lockName, { signal: stopped.signal }, () => {
      const pass = (news: ServerNews) => {
        tell(news);
        if (!stopped.signal.aborted) channel.postMessage(news);
      };
      connect(pass, stopped.signal);
      return new Promise<void>((done) => stopped.signal.addEventListener("abort", () => done()));
    })
    .catch(() => undefined); // stopped while waiting
  stopped.signal.addEventListener("abort", () => channel.close());
  return () => stopped.abort();
}

function connect(tell: (news: ServerNews) => void, signal: AbortSignal): void {
  if (signal.aborted) return;
  const source = new EventSource("/api/events");
  source.addEventListener("ready", () => tell({ kind: "there" }));
  const pass = <Kind extends keyof ServerEvents>(kind: Kind) =>
    source.addEventListener(kind, ({ data }: MessageEvent<string>) =>
      tell({ kind, change: JSON.parse(data) } as ServerNews),
    );
  pass("notebook");
  pass("library");
  pass("ledger");
  pass("photograph");
  source.addEventListener("error", () => {
    tell({ kind: "away" });
    // A lost connection is taken up again by the browser, a refused one is not.
    if (source.readyState === EventSource.CLOSED && !signal.aborted) {
      setTimeout(() => connect(tell, signal), againMs);
    }
  });
  signal.addEventListener("abort", () => source.close());
}
