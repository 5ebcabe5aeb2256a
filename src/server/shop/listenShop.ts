import { createServer } from "node:https";
import { type HttpServer, httpServer, requestLimits } from "../httpServer.ts";
import { bindOrFree, type Workplace } from "../server.ts";

/** Port of the shop network that is tried first, so that a device keeps its address as a bookmark. */
export const usualShopPort = 4721;

const mostConnections = 100;

/**
 * Listens for the devices of the local network, at each address of its own: what comes in by another one is never heard.
 *
 * @param port a port, 0 for any free one, or undefined for the usual one and a free one when that is taken
 * @returns the way to stop
 * @throws FolderError when an address or the given port cannot be used
 */
export async function listenShop(
  workplace: Workplace,
  port: number | undefined,
): Promise<() => Promise<void>> {
  const { shop } = workplace;
  if (!shop) throw new Error("the shop network is closed");
  const { network, handler } = shop;
  const servers: HttpServer[] = [];
  const stop = async () => {
    await Promise.all(servers.map((server) => server.stop()));
  };
  const places: string[] = [];
  try {
    for (const { address } of network.addresses) {
      const server = httpServer(
        (take) => {
          const { chain: cert, key } = network.identity;
          const secure = createServer({ ...requestLimits, cert, key, minVersion: "TLSv1.2" }, take);
          secure.maxConnections = mostConnections;
          return secure;
        },
        handler,
        workplace.endStreams,
      );
      const bound = await bindOrFree(server, address, port, usualShopPort, "--shop-port");
      servers.push(server);
      places.push(`https://${address}:${bound}`);
    }
  } catch (error) {
    await stop();
    throw error;
  }
  network.places = places;
  return stop;
}
