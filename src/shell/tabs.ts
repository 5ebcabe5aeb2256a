/** A place among the windows that have one notebook open; the first has number 0. */
export interface TabPlace {
  readonly slot: number;
  release(): void;
}

/** Finds out which windows of this browser have a notebook open. */
export interface Tabs {
  /** Take the lowest free place at a notebook; this window's earlier place first, after a reload. */
  take(notebook: string): Promise<TabPlace>;
  /** Take a place that no window has any more, to look after what was left there; undefined when one has it. */
  takeLeft(notebook: string, slot: number): Promise<TabPlace | undefined>;
  /**
   * Tell the other windows that this one has the notebook open, and be told of them.
   * @param changed told how many others there are
   * @returns the way to stop
   */
  announce(notebook: string, changed: (others: number) => void): () => void;
}

const lockOf = (notebook: string, slot: number) => `bole-notebook ${slot} ${notebook}`;
const placeOf = (notebook: string) => `bole-place ${notebook}`;
const mostSlots = 50;
const reloadMs = 1000;

/** The windows of this browser, by its locks and its messages between windows. */
export function browserTabs(): Tabs {
  if (typeof navigator.locks === "undefined" || typeof BroadcastChannel === "undefined") return oneTab();
  return {
    async take(notebook) {
      const before = sessionStorage.getItem(placeOf(notebook));
      const place =
        (before !== null && (await lock(notebook, Number(before), reloadMs))) || (await takeFree(notebook));
      sessionStorage.setItem(placeOf(notebook), String(place.slot));
      return place;
    },
    takeLeft: (notebook, slot) => lock(notebook, slot, 0),
    announce: announceOn,
  };
}

async function takeFree(notebook: string): Promise<TabPlace> {
  for (let slot = 0; slot < mostSlots; slot++) {
    const place = await lock(notebook, slot, 0);
    if (place) return place;
  }
  throw new Error(`This notebook is open in ${mostSlots} windows. Close some of them.`);
}

/** Hold a lock until it is released or the window is gone; undefined when it does not come free in time. */
function lock(notebook: string, slot: number, waitMs: number): Promise<TabPlace | undefined> {
  return new Promise((resolve) => {
    const held = (lock: Lock | null) => {
      if (!lock) return resolve(undefined);
      return new Promise<void>((release) => resolve({ slot, release }));
    };
    const options: LockOptions = waitMs > 0 ? { signal: AbortSignal.timeout(waitMs) } : { ifAvailable: true };
    navigator.locks.request(lockOf(notebook, slot), options, held).catch(() => resolve(undefined));
  });
}

interface Greeting {
  readonly kind: "open" | "here" | "closed";
  readonly window: string;
}

function announceOn(notebook: string, changed: (others: number) => void): () => void {
  const window = crypto.randomUUID();
  const channel = new BroadcastChannel(`bole-notebook ${notebook}`);
  const others = new Set<string>();
  const greet = (kind: Greeting["kind"]) => channel.postMessage({ kind, window } satisfies Greeting);
  channel.onmessage = ({ data }: MessageEvent<Greeting>) => {
    if (data.kind === "closed") others.delete(data.window);
    else others.add(data.window);
    if (data.kind === "open") greet("here");
    changed(others.size);
  };
  greet("open");
  return () => {
    greet("closed");
    channel.close();
  };
}

/** A browser that cannot tell its windows apart. */
function oneTab(): Tabs {
  return {
    take: async () => ({ slot: 0, release: () => {} }),
    takeLeft: async (_, slot) => ({ slot, release: () => {} }),
    announce: () => () => {},
  };
}
