import type { IncomingMessage, ServerResponse } from "node:http";
import { refuseForeign, type Site } from "./guards.ts";
import { refuseOtherAccounts } from "./otherAccounts.ts";
import { Refusal } from "./refusal.ts";
import type { Device } from "./shop/devices.ts";

/** Whoever has come in. */
export interface Visitor {
  /** What its page sends with every change. */
  readonly token: string;
  /** Left out for the computer itself. */
  readonly device?: Device;
}

/**
 * A way into the server.
 *
 * @returns who comes in; undefined when the request has been answered at the door
 * @throws Refusal for whoever may not come in
 */
export type Door = (
  path: string,
  request: IncomingMessage,
  response: ServerResponse,
) => Promise<Visitor | undefined>;

const loopback: Site = {
  scheme: "http",
  hosts(port) {
    const names = ["127.0.0.1", "localhost", "[::1]"];
    const withPort = names.map((name) => `${name}:${port}`);
    return port === 80 ? [...withPort, ...names] : withPort;
  },
  refuseFar(remote) {
    if (!/^(?:::ffff:)?127\.|^::1$/.test(remote))
      throw new Refusal(403, "Only this computer may use the server.");
  },
};

/** The way in for programs of this account on this computer. */
export function loopbackDoor(token: string): Door {
  return async (_, request) => {
    refuseForeign(request, loopback);
    await refuseOtherAccounts(request);
    return { token };
  };
}
