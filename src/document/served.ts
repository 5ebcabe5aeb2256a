/** What the page and the local server say to each other. */

/** A notebook in the folder. `problem` says why it cannot be read; it is listed all the same. */
export interface NotebookEntry {
  readonly name: string;
  /** The name when the notebook cannot be read. */
  readonly title: string;
  readonly modified: string;
  readonly size: number;
  readonly revision: string;
  readonly problem?: string;
}

/** A notebook that was written; the sender has its text already. */
export interface SavedNotebook {
  readonly name: string;
  readonly revision: string;
  readonly modified: string;
}

/** A notebook as it stands in its file. */
export interface StoredNotebook extends SavedNotebook {
  readonly text: string;
}

/** A kept state of a notebook. */
export interface RevisionEntry {
  /** Running number and content, such as 000012-9f86d081884c7d65. */
  readonly id: string;
  /** When it was kept, ISO time. */
  readonly saved: string;
  /** Size in bytes. */
  readonly size: number;
  /** Revision of the content, as in the list of notebooks. */
  readonly revision: string;
}

/** A notebook in the bin. */
export interface BinEntry {
  readonly id: string;
  /** Name it had. */
  readonly name: string;
  /** When it was deleted, ISO time. */
  readonly deleted: string;
  readonly size: number;
}

/** A cell kept for many notebooks. `problem` says why its file cannot be read. */
export interface LibraryEntry {
  readonly name: string;
  readonly kind: string;
  readonly title: string;
  /** Number of the latest version. */
  readonly latest: number;
  readonly saved: string;
  readonly versions: number;
  readonly problem?: string;
}

/** What is kept of a cell in the library. */
export interface CellToKeep {
  readonly kind: string;
  readonly title: string;
  readonly note: string;
  readonly parameters: Readonly<Record<string, unknown>>;
}

/** Told after each change of a notebook file; `revision` is null when it is gone. */
export interface NotebookChange {
  readonly name: string;
  readonly revision: string | null;
  /** True when a program other than the server changed it. */
  readonly outside: boolean;
  /** Mark of the page that asked for the change, if it gave one. */
  readonly client?: string;
}

/** Told after each change of an item of the library; `latest` is null when it is gone. */
export interface LibraryChange {
  readonly name: string;
  readonly latest: number | null;
  readonly client?: string;
}

/** Told after each change of the ledger of panels; `revision` is null when it is gone. */
export interface LedgerNews {
  readonly revision: string | null;
  readonly client?: string;
}

/** The kinds of event that every page is told. */
export interface ServerEvents {
  readonly notebook: NotebookChange;
  readonly library: LibraryChange;
  readonly ledger: LedgerNews;
  readonly photograph: PhotographNews;
}

/** A request that was turned down: why, in words, and what a page can act on. */
export interface RefusedAnswer {
  readonly error?: string;
  readonly reason?: string;
  /** What stands in the file when others have changed it. */
  readonly text?: string;
  readonly revision?: string;
  readonly [field: string]: unknown;
}

/** The shop network as the computer shows it. */
export interface ShopState {
  /** Where it listens, such as https://192.168.1.20:4721, and from where it can be reached, in words. */
  readonly places: readonly { readonly place: string; readonly reach: string }[];
  /** SHA-256 of the server's certificate and of the authority's, as browsers show them. */
  readonly fingerprint: string;
  readonly authorityFingerprint: string;
  /** The code that is open, with the time that is left, ms, and the address for the camera at each place. */
  readonly offer?: { readonly code: string; readonly left: number; readonly links: readonly string[] };
  /** Devices that have shown the code and wait for a yes. */
  readonly asking: readonly {
    readonly id: string;
    readonly name: string;
    readonly from: string;
    readonly mark: string;
  }[];
  readonly devices: readonly {
    readonly id: string;
    readonly name: string;
    readonly since: string;
    /** Whether it has a page open. */
    readonly here: boolean;
  }[];
}

/** The photo cells of a notebook that are open in a page, from the one most looked at on. */
export interface PhotoPlaces {
  readonly notebook: string;
  readonly cells: readonly { readonly id: string; readonly title: string }[];
}

/** A photograph waits for the page `client`, for one of its cells. */
export interface PhotographNews {
  readonly id: string;
  readonly client: string;
  readonly cell: string;
}
