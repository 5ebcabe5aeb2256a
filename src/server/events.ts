import type { ServerResponse } from "node:http";
import type { ServerEvents } from "../document/served.ts";
import { commonHeaders } from "./answer.ts";
import { Refusal } from "./refusal.ts";

const mostListeners = 64;
const heartbeatMs = 20_000;

/** Server-sent events to every open page; the heartbeat lets a page notice a server that is gone. */
export class EventStream {
  readonly #listeners = new Set<ServerResponse>();
  readonly #heartbeat = setInterval(() => this.#write(": still here\n\n"), heartbeatMs).unref();
  #closed = false;

  attach(response: ServerResponse): void {
    if (this.#closed) throw new Refusal(503, "The server is stopping.");
    if (this.#listeners.size >= mostListeners)
      throw new Refusal(503, "Too many open pages. Close some of them.");
    response.writeHead(200, {
      ...commonHeaders,
      "content-type": "text/event-stream; charset=utf-8",
      "cache-control": "no-store",
    });
    response.write("retry: 2000\nevent: ready\ndata: {}\n\n");
    this.#listeners.add(response);
    const drop = () => this.#listeners.delete(response);
    response.once("close", drop);
    response.once("error", drop);
  }

  send<Event extends keyof ServerEvents>(event: Event, data: ServerEvents[Event]): void {
    this.#write(`event: ${event}\ndata: ${JSON.stringify(data)}\n\n`);
  }

  close(): void {
    this.#closed = true;
    clearInterval(this.#heartbeat);
    for (const listener of this.#listeners) listener.end();
    this.#listeners.clear();
  }

  #write(text: string): void {
    for (const listener of this.#listeners) listener.write(text);
  }
}
