import type { IncomingMessage, ServerResponse } from "node:http";
import { answerJson } from "./answer.ts";
import { diskTrouble } from "./diskTrouble.ts";
import type { EventStream } from "./events.ts";
import { parseGuardedJson } from "./guardedJson.ts";
import { clientOf, discardBody, readBody, refuseForeign, refuseWithoutToken } from "./guards.ts";
import type { GivenVersion, Library } from "./library.ts";
import { refuseOtherAccounts } from "./otherAccounts.ts";
import { Refusal } from "./refusal.ts";
import type { StaticPage } from "./staticPage.ts";
import type { NotebookStore } from "./store.ts";

export interface HandlerOptions {
  store: NotebookStore;
  library: Library;
  events: EventStream;
  token: string;
  /** The built page; left out where something else serves the page. */
  page?: StaticPage;
  /** Told of faults of the server itself. */
  onFault?: (error: unknown) => void;
}

/** Request handler for node:http, for tests, and as a middleware. */
export type Handler = (request: IncomingMessage, response: ServerResponse, next?: () => void) => void;

interface Answer {
  status?: number;
  value: unknown;
}

interface Call {
  store: NotebookStore;
  library: Library;
  /** The decoded parts of the path that the route left open. */
  parts: string[];
  body: Record<string, unknown>;
  /** The text of a notebook that was sent as it is, with the revision it is based on. */
  sent?: { text: string; bytes: Uint8Array; basedOn: string };
  client?: string;
}

/** Method and path of each route; `*` stands for one part of the path. */
const routes: [method: string, path: string, run: (call: Call) => Promise<Answer>][] = [
  [
    "GET",
    "notebooks",
    async ({ store }) => ({ value: { folder: store.folder, notebooks: await store.list() } }),
  ],
  [
    "POST",
    "notebooks",
    async ({ store, body, client }) => ({
      status: 201,
      value: brief(await store.create(optionalText(body, "name"), documentText(body), client)),
    }),
  ],
  ["GET", "notebooks/*", async ({ store, parts }) => ({ value: await store.open(parts[0]) })],
  [
    "PUT",
    "notebooks/*",
    async ({ store, parts, body, sent, client }) => ({
      value: brief(
        await store.save(
          parts[0],
          sent?.text ?? documentText(body),
          sent?.basedOn ?? body.basedOn,
          client,
          sent?.bytes,
        ),
      ),
    }),
  ],
  [
    "DELETE",
    "notebooks/*",
    async ({ store, parts, client }) => ({ value: await store.remove(parts[0], client) }),
  ],
  [
    "POST",
    "notebooks/*/rename",
    async ({ store, parts, body, client }) => ({
      value: brief(await store.rename(parts[0], requiredText(body, "to"), client)),
    }),
  ],
  [
    "POST",
    "notebooks/*/duplicate",
    async ({ store, parts, body, client }) => ({
      status: 201,
      value: brief(await store.duplicate(parts[0], optionalText(body, "to"), client)),
    }),
  ],
  [
    "GET",
    "notebooks/*/revisions",
    async ({ store, parts }) => ({ value: { revisions: await store.revisions(parts[0]) } }),
  ],
  [
    "GET",
    "notebooks/*/revisions/*",
    async ({ store, parts }) => ({ value: await store.readRevision(parts[0], parts[1]) }),
  ],
  [
    "POST",
    "notebooks/*/revisions/*/restore",
    async ({ store, parts, body, client }) => ({
      value: await store.restore(parts[0], parts[1], body.basedOn, client),
    }),
  ],
  ["GET", "bin", async ({ store }) => ({ value: { notebooks: await store.bin() } })],
  [
    "POST",
    "bin/*/restore",
    async ({ store, parts, client }) => ({
      status: 201,
      value: brief(await store.restoreFromBin(parts[0], client)),
    }),
  ],
  ["GET", "library", async ({ library }) => ({ value: { items: await library.list() } })],
  [
    "POST",
    "library",
    async ({ library, body, client }) => ({
      status: 201,
      value: await library.create(
        optionalText(body, "name"),
        requiredText(body, "kind"),
        givenVersion(body),
        client,
      ),
    }),
  ],
  ["GET", "library/*", async ({ library, parts }) => ({ value: await library.open(parts[0]) })],
  [
    "POST",
    "library/*/versions",
    async ({ library, parts, body, client }) => ({
      value: await library.addVersion(
        parts[0],
        requiredText(body, "kind"),
        givenVersion(body),
        body.basedOn,
        client,
      ),
    }),
  ],
  [
    "DELETE",
    "library/*",
    async ({ library, parts, client }) => ({ value: await library.remove(parts[0], client) }),
  ],
];

/** Makes the one request handler of the server. */
export function createHandler(options: HandlerOptions): Handler {
  return (request, response, next) => {
    handle(options, request, response, next).catch((error) => {
      const told = error instanceof Refusal ? error : diskTrouble(error);
      if (!told) options.onFault?.(error);
      if (response.headersSent) {
        response.destroy();
        return;
      }
      discardBody(request, response);
      const refusal = told ?? new Refusal(500, `The server failed: ${wordsOf(error)}`);
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
  refuseForeign(request);
  await refuseOtherAccounts(request);
  if (isApi) return handleApi(options, path.slice("/api/".length), request, response);
  if (request.method !== "GET" && request.method !== "HEAD")
    throw new Refusal(405, "The page can only be read.");
  if (options.page?.(path, request, response)) return;
  if (next) return next();
  throw new Refusal(404, "There is nothing at this address.");
}

async function handleApi(
  options: HandlerOptions,
  path: string,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> {
  const method = request.method ?? "GET";
  if (method !== "GET") refuseWithoutToken(request, options.token);
  if (method === "GET" && path === "events") return options.events.attach(response);
  if (method === "GET" && path === "session")
    return answerJson(response, 200, { token: options.token, folder: options.store.folder });

  const parts = path.split("/");
  const fitting = routes.filter(([, pattern]) => fits(pattern.split("/"), parts));
  if (fitting.length === 0) throw new Refusal(404, "There is nothing at this address.");
  const route = fitting.find(([routeMethod]) => routeMethod === method);
  if (!route) throw new Refusal(405, `${method} cannot be used here.`);
  const open = route[1].split("/").flatMap((part, i) => (part === "*" ? [decodePart(parts[i])] : []));
  const sent = method === "PUT" ? await readSent(request) : undefined;
  const body = !sent && (method === "POST" || method === "PUT") ? await readObject(request) : {};
  const { status = 200, value } = await route[2]({
    store: options.store,
    library: options.library,
    parts: open,
    body,
    sent,
    client: clientOf(request),
  });
  answerJson(response, status, value);
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
  if (value === null || typeof value !== "object" || Array.isArray(value)) {
    throw new Refusal(400, "The request has to be a JSON object.");
  }
  return value as Record<string, unknown>;
}

/** Notebooks are written indented: they are files that people may read, compare and keep under version control. */
function documentText(body: Record<string, unknown>): string {
  const { document } = body;
  if (document === null || typeof document !== "object" || Array.isArray(document)) {
    throw new Refusal(400, "The field document has to be a JSON object.");
  }
  return `${JSON.stringify(document, null, 1)}\n`;
}

/** A cell for the library. What the fields may hold is checked with the whole item. */
function givenVersion(body: Record<string, unknown>): GivenVersion {
  const { parameters } = body;
  if (parameters === null || typeof parameters !== "object" || Array.isArray(parameters)) {
    throw new Refusal(400, "The field parameters has to be a JSON object.");
  }
  return {
    title: requiredText(body, "title"),
    note: optionalText(body, "note") ?? "",
    parameters: parameters as Record<string, unknown>,
  };
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
function brief({ name, revision, modified }: { name: string; revision: string; modified: string }) {
  return { name, revision, modified };
}

function wordsOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
