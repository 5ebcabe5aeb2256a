import type { NotebookDocument } from "../document/notebook.ts";

/** A notebook in the folder of the local server. */
export interface NotebookEntry {
  readonly name: string;
  readonly title: string;
  readonly modified: string;
  readonly size: number;
}

export interface StoredNotebook {
  readonly name: string;
  readonly text: string;
  readonly revision: string;
}

/** The server answered "no", with its reason. */
export class ServiceError extends Error {
  override readonly name = "ServiceError";
  readonly status: number;
  readonly answer: Record<string, unknown>;
  constructor(status: number, answer: Record<string, unknown>) {
    super(typeof answer.error === "string" ? answer.error : `The server answered ${status}`);
    this.status = status;
    this.answer = answer;
  }
}

const token = document.querySelector<HTMLMetaElement>('meta[name="bole-token"]')?.content ?? "";
/** Tells this page's own saves from those of others in the event stream. */
export const clientName = `page-${Math.random().toString(36).slice(2, 12)}`;

async function call<Answer>(method: string, path: string, body?: unknown): Promise<Answer> {
  const response = await fetch(`/api/${path}`, {
    method,
    headers: {
      ...(method === "GET" ? {} : { "x-bole-token": token, "x-bole-client": clientName }),
      ...(body === undefined ? {} : { "content-type": "application/json" }),
    },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  const answer = (await response.json().catch(() => ({}))) as Record<string, unknown>;
  if (!response.ok) throw new ServiceError(response.status, answer);
  return answer as Answer;
}

const at = (name: string, rest = "") => `notebooks/${encodeURIComponent(name)}${rest}`;

export const service = {
  list: async () => (await call<{ notebooks: NotebookEntry[] }>("GET", "notebooks")).notebooks,
  open: (name: string) => call<StoredNotebook>("GET", at(name)),
  /** A new notebook under a free name made from its title. */
  create: (document: NotebookDocument) =>
    call<{ name: string; revision: string }>("POST", "notebooks", { document }),
  save: (name: string, document: NotebookDocument, basedOn: string) =>
    call<{ revision: string }>("PUT", at(name), { document, basedOn }),
  rename: (name: string, to: string) =>
    call<{ name: string; revision: string }>("POST", at(name, "/rename"), { to }),
  duplicate: (name: string, to?: string) =>
    call<{ name: string; revision: string }>("POST", at(name, "/duplicate"), { to }),
  remove: (name: string) => call<{ movedTo: string }>("DELETE", at(name)),
};
