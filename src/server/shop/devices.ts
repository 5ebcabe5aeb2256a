import { createHash, randomBytes, timingSafeEqual } from "node:crypto";
import * as v from "valibot";
import { Refusal } from "../refusal.ts";
import type { OwnFiles } from "./configFolder.ts";

const text = (most: number) => v.pipe(v.string(), v.maxLength(most));
const deviceSchema = v.object({
  id: v.pipe(v.string(), v.regex(/^[0-9a-f]{16}$/)),
  name: text(60),
  /** SHA-256 of its token: whoever reads the file gets in with nothing that stands in it. */
  hash: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)),
  /** When it was let in, ISO time. */
  since: text(40),
});
const listSchema = v.object({ devices: v.pipe(v.array(deviceSchema), v.maxLength(100)) });

/** A device that the person at the computer has let in. */
export type Device = v.InferOutput<typeof deviceSchema> & {
  /** What its page shows when it changes something; another one at each start of the server. */
  readonly pageToken: string;
};

const mostDevices = 20;

/** The devices that are let into one notebook folder. They are kept beside the keys of this account. */
export class Devices {
  readonly #files: OwnFiles;
  readonly #name: string;
  #writing: Promise<void> = Promise.resolve();
  #all: Device[];

  private constructor(files: OwnFiles, name: string, all: Device[]) {
    this.#files = files;
    this.#name = name;
    this.#all = all;
  }

  /** @param folder folder of the notebooks; each has devices of its own */
  static async open(files: OwnFiles, folder: string): Promise<Devices> {
    const name = `devices-${createHash("sha256").update(folder).digest("hex").slice(0, 16)}.json`;
    return new Devices(files, name, readList(await files.read(name)).map(withPageToken));
  }

  get all(): readonly Device[] {
    return this.#all;
  }

  /** The device that has a token; every entry is compared, so that the time tells nothing. */
  withToken(token: string): Device | undefined {
    const hash = Buffer.from(hashOf(token));
    let found: Device | undefined;
    for (const device of this.#all) if (timingSafeEqual(hash, Buffer.from(device.hash))) found = device;
    return found;
  }

  /**
   * Lets a device in.
   *
   * @returns the token for it, which is kept nowhere here
   * @throws Refusal (409) when there are too many
   */
  async add(name: string): Promise<{ device: Device; token: string }> {
    if (this.#all.length >= mostDevices)
      throw new Refusal(409, `There are ${mostDevices} devices already. Send one away first.`);
    const token = randomBytes(32).toString("base64url");
    const id = randomBytes(8).toString("hex");
    const device = withPageToken({ id, name, hash: hashOf(token), since: new Date().toISOString() });
    this.#all = [...this.#all, device];
    await this.#keep();
    return { device, token };
  }

  /** From here on the device is refused, whether or not the disk takes it. */
  async remove(id: string): Promise<void> {
    const left = this.#all.filter((device) => device.id !== id);
    if (left.length === this.#all.length) throw new Refusal(404, "This device is not let in.");
    this.#all = left;
    await this.#keep();
  }

  #keep(): Promise<void> {
    const write = () => {
      const devices = this.#all.map(({ id, name, hash, since }) => ({ id, name, hash, since }));
      return this.#files.write(this.#name, `${JSON.stringify({ devices }, null, 1)}\n`);
    };
    // One after another, so that the last list is the one that stays.
    this.#writing = this.#writing.then(write, write);
    return this.#writing;
  }
}

/** A list that cannot be read lets nobody in. */
function readList(kept: string | undefined) {
  try {
    return kept === undefined ? [] : v.parse(listSchema, JSON.parse(kept)).devices;
  } catch {
    return [];
  }
}

function withPageToken(device: v.InferOutput<typeof deviceSchema>): Device {
  return { ...device, pageToken: randomBytes(24).toString("hex") };
}

function hashOf(token: string): string {
  return createHash("sha256").update(token).digest("hex");
}
