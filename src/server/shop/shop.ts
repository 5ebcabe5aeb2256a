import type { IncomingMessage, ServerResponse } from "node:http";
import type { ShopState } from "../../document/served.ts";
import { Refusal } from "../refusal.ts";
import { OwnFiles } from "./configFolder.ts";
import { type Device, Devices } from "./devices.ts";
import { keptIdentity, type ServerIdentity } from "./keptCertificate.ts";
import { type LocalAddress, networkWords } from "./networks.ts";
import { Pairing } from "./pairing.ts";

const cookieName = "__Host-bole-device";
/** Browsers keep a cookie for 400 days at most. Source: RFC 6265bis section 5.5 (from memory). */
const cookieSeconds = 390 * 24 * 60 * 60;
const longestName = 60;

/** Where a shop network is opened. */
export interface ShopPlace {
  /** Folder for keys and the list of devices, which this account alone can read. */
  configFolder: string;
  addresses: readonly LocalAddress[];
  /** A clock that never goes back, ms. */
  now?: () => number;
}

/** The local network as a second way into the notebooks: who the server is there, and who is let in. */
export class Shop {
  readonly identity: ServerIdentity;
  readonly addresses: readonly LocalAddress[];
  readonly pairing: Pairing;
  readonly #devices: Devices;
  readonly #open = new Map<string, Set<ServerResponse>>();
  #places: readonly string[] = [];

  private constructor(identity: ServerIdentity, devices: Devices, { addresses, now }: ShopPlace) {
    this.identity = identity;
    this.addresses = addresses;
    this.#devices = devices;
    this.pairing = new Pairing(now);
  }

  /**
   * @param options with the folder of the notebooks
   * @throws FolderError when the keys cannot be kept safely
   */
  static async open(options: ShopPlace & { folder: string }): Promise<Shop> {
    const files = await OwnFiles.open(options.configFolder, options.folder);
    const addresses = options.addresses.map(({ address }) => address);
    return new Shop(await keptIdentity(files, addresses), await Devices.open(files, options.folder), options);
  }

  /** Where it listens, such as https://192.168.1.20:4721, in the order of `addresses`. */
  get places(): readonly string[] {
    return this.#places;
  }

  set places(places: readonly string[]) {
    this.#places = places;
  }

  /** The device that a request comes from, by its cookie. */
  deviceOf(request: IncomingMessage): Device | undefined {
    const values = cookies(request.headers.cookie ?? "").filter(([name]) => name === cookieName);
    return values.length === 1 ? this.#devices.withToken(values[0][1]) : undefined;
  }

  /** What is open for a device is cut when it is sent away. */
  watch(device: Device, response: ServerResponse): void {
    const open = this.#open.get(device.id) ?? new Set();
    this.#open.set(device.id, open.add(response));
    response.once("close", () => open.delete(response));
  }

  /** A device shows a code. @throws Refusal for a wrong code (403) or no name (422) */
  ask(shown: { code?: unknown; secret?: unknown; name?: unknown }, from: string) {
    const name = typeof shown.name === "string" ? tidyName(shown.name) : "";
    if (!name) throw new Refusal(422, "The device needs a name, such as “Phone”.");
    return this.pairing.ask(shown, name, from);
  }

  /** What has become of a device that waits; with a yes it gets its cookie. */
  async outcome(knock: unknown, response: ServerResponse): Promise<{ answer: string }> {
    const { answer, name } = this.pairing.outcome(knock);
    if (answer === "admitted") {
      const { token } = await this.#devices.add(name);
      response.setHeader("set-cookie", cookie(token, cookieSeconds));
    }
    return { answer };
  }

  /** From here on the device is refused, and what it has open is cut. */
  async sendAway(id: string): Promise<void> {
    const removed = this.#devices.remove(id);
    for (const response of this.#open.get(id) ?? []) response.destroy();
    this.#open.delete(id);
    await removed;
  }

  /** What the computer shows of it; never sent to a device. */
  get state(): ShopState {
    const { fingerprint, authorityFingerprint } = this.identity;
    const offer = this.pairing.offer;
    return {
      places: this.#places.map((place, i) => ({ place, reach: networkWords(this.addresses[i]) })),
      fingerprint,
      authorityFingerprint,
      offer: offer && {
        code: offer.code,
        left: offer.left,
        links: this.#places.map((place) => `${place}/#pair=${offer.secret}`),
      },
      asking: this.pairing.asking,
      devices: this.#devices.all.map(({ id, name, since }) => ({
        id,
        name,
        since,
        here: (this.#open.get(id)?.size ?? 0) > 0,
      })),
    };
  }
}

/** Takes the cookie of a device that is not let in any more away from it. */
export const noCookie = cookie("", 0);

function cookie(token: string, seconds: number): string {
  return `${cookieName}=${token}; Max-Age=${seconds}; Path=/; Secure; HttpOnly; SameSite=Strict`;
}

function cookies(header: string): [string, string][] {
  return header.split(";").map((pair) => {
    const at = pair.indexOf("=");
    return [pair.slice(0, at).trim(), pair.slice(at + 1).trim()];
  });
}

/** A name without signs that could pass for something else on the screen of the computer. */
function tidyName(name: string): string {
  return name
    .normalize("NFC")
    .replace(/[^\p{L}\p{M}\p{N}\p{P}\p{S} ]/gu, " ")
    .replace(/ +/g, " ")
    .trim()
    .slice(0, longestName);
}
