import { readFile } from "node:fs/promises";
import type { IncomingMessage } from "node:http";
import type { Socket } from "node:net";
import { Refusal } from "./refusal.ts";

const seen = new WeakMap<Socket, Promise<boolean>>();

/**
 * Refuses programs that run under another account of this computer, where the system tells (Linux). The loopback
 * address keeps other computers out, but not other people on this one. The administrator may do anything as it is.
 */
export async function refuseOtherAccounts(request: IncomingMessage): Promise<void> {
  const { socket } = request;
  let isOther = seen.get(socket);
  if (!isOther) {
    isOther = isOtherAccount(socket.remotePort, socket.localPort);
    seen.set(socket, isOther);
  }
  if (await isOther) throw new Refusal(403, "Only the account that started the server may use it.");
}

async function isOtherAccount(theirPort: number | undefined, ownPort: number | undefined): Promise<boolean> {
  const own = process.getuid?.();
  if (own === undefined || theirPort === undefined || ownPort === undefined) return false;
  for (const table of ["/proc/net/tcp", "/proc/net/tcp6"]) {
    const owner = ownerIn(await readFile(table, "utf8").catch(() => ""), theirPort, ownPort);
    if (owner !== undefined) return owner !== own && owner !== 0;
  }
  return false; // not known
}

/** Account that holds the end of a connection with the port `theirPort`, in a table of the system. */
export function ownerIn(table: string, theirPort: number, ownPort: number): number | undefined {
  const hex = (port: number) => port.toString(16).toUpperCase().padStart(4, "0");
  const ends = new RegExp(
    ` [0-9A-F]+:${hex(theirPort)} [0-9A-F]+:${hex(ownPort)} [0-9A-F]{2} \\S+ \\S+ \\S+ +(\\d+) `,
  ).exec(table);
  return ends ? Number(ends[1]) : undefined;
}
