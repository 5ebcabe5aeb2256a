import type { LibraryItem } from "../document/libraryItem.ts";
import type { NotebookDocument } from "../document/notebook.ts";
import type {
  BinEntry,
  CellToKeep,
  LibraryEntry,
  NotebookEntry,
  RefusedAnswer,
  RevisionEntry,
  SavedNotebook,
  StoredNotebook,
} from "../document/served.ts";
import type { LedgerChange, LedgerEntry } from "../ledger/ledgerFile.ts";

/** The server answered "no", with its reason. */
export class ServiceError extends Error {
  override readonly name = "ServiceError";
  constructor(
    readonly status: number,
    readonly answer: RefusedAnswer,
  ) {
    super(answer.error ?? `The server answered ${status}`);
  }
}

/** The server did not answer at all. */
export class AwayError extends Error {
  override readonly name = "AwayError";
}

const answerLimitMs = 20_000;
/** A page that is being left may still send this much. */
const mostWhenLeaving = 60_000;

let token = globalThis.document?.querySelector<HTMLMetaElement>('meta[name="bole-token"]')?.content ?? "";
let folder: string | undefined;

/** Tells this page's own saves from those of others in the event stream. */
export const clientName = `page-${crypto.randomUUID()}`;

interface Sending {
  readonly text?: string;
  readonly headers?: Record<string, string>;
  readonly leaving?: boolean;
}

async function call<Answer>(method: string, path: string, body?: unknown): Promise<Answer> {
  return send<Answer>(method, path, body === undefined ? {} : { text: JSON.stringify(body) });
}

async function send<Answer>(method: string, path: string, sending: Sending): Promise<Answer> {
  try {
    return await sendOnce<Answer>(method, path, sending);
  } catch (error) {
    if (!(error instanceof ServiceError && error.answer.reason === "token")) throw error;
    await session(); // the server was started anew
    return await sendOnce<Answer>(method, path, sending);
  }
}

async function sendOnce<Answer>(
  method: string,
  path: string,
  { text, headers = {}, leaving = false }: Sending,
): Promise<Answer> {
  let response: Response;
  try {
    response = await fetch(`/api/${path}`, {
      method,
      headers: {
        ...(method === "GET" ? {} : { "x-bole-token": token, "x-bole-client": clientName }),
        ...(text === undefined ? {} : { "content-type": "application/json" }),
        ...headers,
      },
      body: text,
      keepalive: leaving && (text?.length ?? 0) < mostWhenLeaving,
      signal: AbortSignal.timeout(answerLimitMs),
    });
  } catch (cause) {
    throw new AwayError("The server does not answer", { cause });
  }
  const answer = (await response.json().catch(() => undefined)) as object | undefined;
  if (!response.ok) throw new ServiceError(response.status, (answer as RefusedAnswer) ?? {});
  if (!answer) throw new AwayError("The answer of the server was cut short");
  return answer as Answer;
}

/**
 * The token for changes and the folder of the server. A page stays with the folder that it began with.
 * @throws ServiceError (421) when the server now serves another folder
 */
async function session(): Promise<{ token: string; folder: string }> {
  const answer = await sendOnce<{ token: string; folder: string }>("GET", "session", {});
  folder ??= answer.folder;
  if (answer.folder !== folder) {
    throw new ServiceError(421, {
      error: `The server was started anew with another folder (${answer.folder} instead of ${folder})`,
      reason: "folder",
    });
  }
  token = answer.token;
  return answer;
}

/** For what is asked of the server elsewhere. @throws ServiceError, AwayError */
export const callServer = call;

const at = (name: string, rest = "") => `notebooks/${encodeURIComponent(name)}${rest}`;
const inLibrary = (name: string, rest = "") => `library/${encodeURIComponent(name)}${rest}`;

export const service = {
  session,
  list: async () => (await call<{ notebooks: NotebookEntry[] }>("GET", "notebooks")).notebooks,
  open: (name: string) => call<StoredNotebook>("GET", at(name)),
  /** A new notebook under the given name, or under a free one made from its title. */
  create: (document: NotebookDocument, name?: string) =>
    call<SavedNotebook>("POST", "notebooks", { name, document }),
  /** Write the text of a notebook that was read at the revision `basedOn`. */
  save: (name: string, text: string, basedOn: string, leaving = false) =>
    send<SavedNotebook>("PUT", at(name), { text, headers: { "if-match": `"${basedOn}"` }, leaving }),
  rename: (name: string, to: string) => call<SavedNotebook>("POST", at(name, "/rename"), { to }),
  duplicate: (name: string, to?: string) => call<SavedNotebook>("POST", at(name, "/duplicate"), { to }),
  remove: (name: string) => call<{ movedTo: string }>("DELETE", at(name)),
  revisions: async (name: string) =>
    (await call<{ revisions: RevisionEntry[] }>("GET", at(name, "/revisions"))).revisions,
  revision: async (name: string, id: string) =>
    (await call<{ text: string }>("GET", at(name, `/revisions/${encodeURIComponent(id)}`))).text,
  restore: (name: string, id: string) =>
    call<StoredNotebook>("POST", at(name, `/revisions/${encodeURIComponent(id)}/restore`), {}),
  bin: async () => (await call<{ notebooks: BinEntry[] }>("GET", "bin")).notebooks,
  restoreFromBin: (id: string) => call<SavedNotebook>("POST", `bin/${encodeURIComponent(id)}/restore`, {}),
  library: async () => (await call<{ items: LibraryEntry[] }>("GET", "library")).items,
  libraryItem: async (name: string) => (await call<{ item: LibraryItem }>("GET", inLibrary(name))).item,
  /** Keep a cell as a new item of the library. */
  keepInLibrary: (cell: CellToKeep) => call<{ name: string; version: number }>("POST", "library", cell),
  /** Keep a cell as the next version of an item. */
  keepVersion: (name: string, cell: CellToKeep, basedOn: number) =>
    call<{ name: string; version: number }>("POST", inLibrary(name, "/versions"), { ...cell, basedOn }),
  ledger: async () => (await call<{ entries: LedgerEntry[] }>("GET", "ledger")).entries,
  /** Change panels of the ledger, all of them or none. */
  changeLedger: (changes: readonly LedgerChange[]) =>
    call<{ changed: number }>("POST", "ledger", { changes }),
  removeFromLibrary: (name: string) => call<{ movedTo: string }>("DELETE", inLibrary(name)),
};

export type Service = typeof service;
