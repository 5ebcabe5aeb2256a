import type { IncomingMessage, ServerResponse } from "node:http";
import type { CellToKeep, SavedNotebook, StoredNotebook } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import { answerJson } from "./answer.ts";
import { DiskRefusal, isOfSystem } from "./diskTrouble.ts";
import type { Door, Visitor } from "./door.ts";
import type { EventStream } from "./events.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { clientOf, discardBody, readBody, refuseWithoutToken } from "./guards.ts";
import type { LastUsed } from "./lastUsed.ts";
import type { LedgerStore } from "./ledger.ts";
import type { Library } from "./library.ts";
import { Refusal } from "./refusal.ts";
import { answerAuthority } from "./shop/authorityFile.ts";
import type { Photographs } from "./shop/photographs.ts";
import type { Shop } from "./shop/shop.ts";
import { type ShopCall, shopMaking, shopRoutes } from "./shop/shopRoutes.ts";
import type { StaticPage } from "./staticPage.ts";
import type { NotebookStore } from "./store.ts";

interface HandlerOptions {
  store: NotebookStore;
  library: Library;
  ledger: LedgerStore;
  events: EventStream;
  /** The way by which requests come. */
  door: Door;
  lastUsed: LastUsed;
  /** The shop network, where there is one. */
  shop?: Shop;
  photographs: Photographs;
  /** The built page; left out where something else serves the page. */
  page?: StaticPage;
  /** Told of faults of the server itself. */
  onFault?: (error: unknown) => void;
}

/** Request handler for node:http, for tests, and as a middleware. */
export type Handler = (request: IncomingMessage, response: ServerResponse, next?: () => void) => void;

interface Call extends ShopCall {
  store: NotebookStore;
  library: Library;
  ledger: LedgerStore;
  lastUsed: LastUsed;
  /** The text of a notebook that was sent as it is, with the revision it is based on. */
  sent?: { text: string; bytes: Uint8Array; basedOn: string };
  client?: string;
}

/** What is done at each method and path; `*` stands for one part of the path. */
const routes: Record<string, (call: Call) => Promise<unknown>> = {
  "GET notebooks": async ({ store }) => ({ folder: store.folder, notebooks: await store.list() }),
  "POST notebooks": async ({ store, body, client }) =>
    brief(await store.create(optionalText(body, "name"), documentText(body), client)),
  "GET notebooks/*": async ({ store, parts, lastUsed, device }) => {
    const stored = await store.open(parts[0]);
    if (!device) lastUsed.note(stored.name);
    return stored;
  },
  "PUT notebooks/*": async ({ store, parts, body, sent, client }) => {
    const { text, basedOn, bytes } = sent ?? { text: documentText(body), basedOn: body.basedOn };
    return brief(await store.save(parts[0], text, basedOn, client, bytes));
  },
  "DELETE notebooks/*": ({ store, parts, client }) => store.remove(parts[0], client),
  "POST notebooks/*/rename": async ({ store, parts, body, client }) =>
    brief(await store.rename(parts[0], requiredText(body, "to"), client)),
  "POST notebooks/*/duplicate": async ({ store, parts, body, client }) =>
    brief(await store.duplicate(parts[0], optionalText(body, "to"), client)),
  "GET notebooks/*/revisions": async ({ store, parts }) => ({ revisions: await store.revisions(parts[0]) }),
  "GET notebooks/*/revisions/*": ({ store, parts }) => store.readRevision(parts[0], parts[1]),
  "POST notebooks/*/revisions/*/restore": ({ store, parts, body, client }) =>
    store.restore(parts[0], parts[1], body.basedOn, client),
  "GET bin": async ({ store }) => ({ notebooks: await store.bin() }),
  "POST bin/*/restore": async ({ store, parts, client }) =>
    brief(await store.restoreFromBin(parts[0], client)),
  "GET library": async ({ library }) => ({ items: await library.list() }),
  "POST library": async ({ library, body, client }) =>
    library.create(optionalText(body, "name"), cellToKeep(body), client),
  "GET library/*": ({ library, parts }) => library.open(parts[0]),
  "POST library/*/versions": async ({ library, parts, body, client }) =>
    library.addVersion(parts[0], cellToKeep(body), body.basedOn, client),
  "GET ledger": ({ ledger }) => ledger.read(),
  "POST ledger": ({ ledger, body, client }) => ledger.change(body.changes, client),
  "DELETE library/*": ({ library, parts, client }) => library.remove(parts[0], client),
  ...shopRoutes,
};

/** Where something new is made. */
const making = [
  "POST notebooks",
  "POST notebooks/*/duplicate",
  "POST bin/*/restore",
  "POST library",
  ...shopMaking,
];

/** Makes the one request handler of the server. */
export function createHandler(options: HandlerOptions): Handler {
  return (request, response, next) => {
    handle(options, request, response, next).catch((error) => {
      const told = error instanceof Refusal ? error : isOfSystem(error) ? new DiskRefusal(error) : undefined;
      if (!told || told.status === 500) options.onFault?.(error);
      if (response.headersSent) {
        response.destroy();
        return;
      }
      discardBody(request, response);
      const refusal = told ?? new Refusal(500, `The server failed: ${messageOf(error)}`);
      answerJson(
        response,
        refusal.status,
        { error: refusal.message, ...refusal.fields },
        request.method === "HEAD",
      );
    });
  };
}

async function handle(
  options: HandlerOptions,
  request: IncomingMessage,
  response: ServerResponse,
  next?: () => void,
): Promise<void> {
  const path = (request.url ?? "/").split(/[?#]/, 1)[0];
  const isApi = path === "/api" || path.startsWith("/api/");
  if (!isApi && !options.page && next) return next();
  const visitor = await options.door(path, request, response);
  if (!visitor) return;
  if (isApi) return handleApi(options, visitor, path.slice("/api/".length), request, response);
  if (request.method !== "GET" && request.method !== "HEAD")
    throw new Refusal(405, "The page can only be read.");
  const { shop, page } = options;
  if (shop && path === "/authority.crt") return answerAuthority(shop, response);
  const side = shop && (visitor.device ? "device" : "computer");
  if (page?.send(path, request, response, { token: visitor.token, shop: side })) return;
  if (next) return next();
  throw new Refusal(404, "There is nothing at this address.");
}

async function handleApi(
  options: HandlerOptions,
  visitor: Visitor,
  path: string,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> {
  const method = request.method ?? "GET";
  if (method !== "GET") refuseWithoutToken(request, visitor.token);
  if (method === "GET" && path === "events") return options.events.attach(response);
  if (method === "GET" && path === "session")
    return answerJson(response, 200, { token: visitor.token, folder: options.store.folder });

  const parts = path.split("/");
  const fitting = Object.keys(routes).filter((route) => fits(patternOf(route), parts));
  if (fitting.length === 0) throw new Refusal(404, "There is nothing at this address.");
  const route = fitting.find((candidate) => candidate.startsWith(`${method} `));
  if (!route) throw new Refusal(405, `${method} cannot be used here.`);
  const sent = method === "PUT" ? await readSent(request) : undefined;
  const value = await routes[route]({
    store: options.store,
    library: options.library,
    ledger: options.ledger,
    lastUsed: options.lastUsed,
    parts: patternOf(route).flatMap((part, i) => (part === "*" ? [decodePart(parts[i])] : [])),
    body: !sent && (method === "POST" || method === "PUT") ? await readObject(request) : {},
    sent,
    client: clientOf(request),
    shop: options.shop,
    photographs: options.photographs,
    device: visitor.device,
  });
  answerJson(response, making.includes(route) ? 201 : 200, value);
}

function patternOf(route: string): string[] {
  return route.slice(route.indexOf(" ") + 1).split("/");
}

function fits(pattern: string[], parts: string[]): boolean {
  return pattern.length === parts.length && pattern.every((part, i) => part === "*" || part === parts[i]);
}

function decodePart(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    throw new Refusal(400, "The address is not well formed.");
  }
}

/**
 * A notebook may be sent as the very text of its file, with the revision it is based on in If-Match: a large one is
 * then not taken apart and put together again on its way to the disk.
 */
async function readSent(request: IncomingMessage): Promise<Call["sent"]> {
  const condition = request.headers["if-match"];
  if (condition === undefined) return undefined;
  const [, basedOn] = /^"([0-9a-f]{1,64})"$/.exec(condition) ?? [];
  if (basedOn === undefined) {
    throw new Refusal(400, 'If-Match has to be the revision that was read, such as "9f86d081884c7d65".');
  }
  return { ...(await readBody(request)), basedOn };
}

async function readObject(request: IncomingMessage): Promise<Record<string, unknown>> {
  const { text, bytes } = await readBody(request);
  const value = parseGuardedJson(text, "The request", bytes);
  if (!isObject(value)) throw new Refusal(400, "The request has to be a JSON object.");
  return value;
}

/** Notebooks are written indented: they are files that people may read, compare and keep under version control. */
function documentText(body: Record<string, unknown>): string {
  const { document } = body;
  if (!isObject(document)) throw new Refusal(400, "The field document has to be a JSON object.");
  return `${JSON.stringify(document, null, 1)}\n`;
}

/** A cell for the library. What the fields may hold is checked with the whole item. */
function cellToKeep(body: Record<string, unknown>): CellToKeep {
  const kind = requiredText(body, "kind");
  const { parameters } = body;
  if (!isObject(parameters)) throw new Refusal(400, "The field parameters has to be a JSON object.");
  return { kind, title: requiredText(body, "title"), note: optionalText(body, "note") ?? "", parameters };
}

function isObject(value: unknown): value is Record<string, unknown> {
  return value !== null && typeof value === "object" && !Array.isArray(value);
}

function requiredText(body: Record<string, unknown>, field: string): string {
  const value = body[field];
  if (typeof value !== "string") throw new Refusal(400, `The field ${field} is missing.`);
  return value;
}

function optionalText(body: Record<string, unknown>, field: string): string | undefined {
  return body[field] === undefined || body[field] === null ? undefined : requiredText(body, field);
}

/** The sender of a document has its text already. */
function brief({ name, revision, modified }: StoredNotebook): SavedNotebook {
  return { name, revision, modified };
}
