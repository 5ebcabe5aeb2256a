import type { Server } from "node:http";
import type { AddressInfo, Socket } from "node:net";
import type { Duplex } from "node:stream";
import { codeOf } from "./atomicWrite.ts";
import type { Handler } from "./handler.ts";

/** Limits on how long a request may take, ms. */
export const requestLimits = { requestTimeout: 60_000, headersTimeout: 20_000 };

const graceMs = 3000;
const idleCheckMs = 20;

/** A server for HTTP that ends in good order. */
export interface HttpServer {
  /** @returns the port. @throws what the system says when the port cannot be used */
  bind(host: string, port: number): Promise<number>;
  /** Lets requests under way end, within a limit. */
  stop(): Promise<void>;
}

/**
 * @param make makes the server for node:http or node:https
 * @param endStreams ends the event streams, which would keep connections open
 */
export function httpServer(
  make: (handler: Handler) => Server,
  handler: Handler,
  endStreams: () => void,
): HttpServer {
  const connections = new Set<Socket>();
  const busy = new Set<Socket>();
  const server = make((request, response) => {
    busy.add(request.socket);
    response.once("close", () => busy.delete(request.socket));
    handler(request, response);
  });
  const keep = (socket: Socket) => {
    connections.add(socket);
    socket.once("close", () => connections.delete(socket));
  };
  server.on("connection", keep);
  // Of a secure server, the socket that requests come from is another one.
  server.on("secureConnection", keep);
  server.on("clientError", refuseMalformed);
  return {
    async bind(host, port) {
      await new Promise<void>((resolve, reject) => {
        server.once("error", reject);
        server.listen({ host, port, exclusive: true }, () => {
          server.off("error", reject);
          resolve();
        });
      });
      return (server.address() as AddressInfo).port;
    },
    async stop() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      endStreams();
      // Browsers keep connections in store on which they have not asked anything yet.
      const idle = setInterval(() => {
        for (const socket of connections) if (!busy.has(socket)) socket.destroySoon();
      }, idleCheckMs);
      const force = setTimeout(() => server.closeAllConnections(), graceMs);
      await closed;
      clearInterval(idle);
      clearTimeout(force);
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
