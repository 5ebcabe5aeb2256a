import type { ServerResponse } from "node:http";
import { commonHeaders } from "./answer.ts";
import { Refusal } from "./refusal.ts";

const mostListeners = 64;
const heartbeatMs = 20_000;

/** Server-sent events to every open page. */
export interface EventStream {
  attach(response: ServerResponse): void;
  send(event: string, data: unknown): void;
  close(): void;
}

/** Makes an event stream; the heartbeat lets a page notice a server that is gone. */
export function createEventStream(): EventStream {
  const listeners = new Set<ServerResponse>();
  let closed = false;
  const heartbeat = setInterval(() => {
    for (const listener of listeners) listener.write(": still here\n\n");
  }, heartbeatMs);
  heartbeat.unref();
  return {
    attach(response) {
      if (closed) throw new Refusal(503, "The server is stopping.");
      if (listeners.size >= mostListeners) throw new Refusal(503, "Too many open pages. Close some of them.");
      response.writeHead(200, {
        ...commonHeaders,
        "content-type": "text/event-stream; charset=utf-8",
        "cache-control": "no-store",
      });
      response.write("retry: 2000\nevent: ready\ndata: {}\n\n");
      listeners.add(response);
      const drop = () => listeners.delete(response);
      response.once("close", drop);
      response.once("error", drop);
    },
    send(event, data) {
      const text = `event: ${event}\ndata: ${JSON.stringify(data)}\n\n`;
      for (const listener of listeners) listener.write(text);
    },
    close() {
      closed = true;
      clearInterval(heartbeat);
      for (const listener of listeners) listener.end();
      listeners.clear();
    },
  };
}
