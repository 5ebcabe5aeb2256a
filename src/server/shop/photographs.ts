import { randomBytes } from "node:crypto";
import type { PhotoPlaces } from "../../document/served.ts";
import { Refusal } from "../refusal.ts";

/** A page that is not heard of for so long has been closed, ms. */
const heardMs = 15_000;
const takenLimitMs = 12_000;
const mostPages = 20;
const mostUnderWay = 4;

interface UnderWay {
  picture: unknown;
  client: string;
  done(trouble: string | undefined): void;
}

/**
 * Photographs on their way from a device to the cell that is open on the computer. The page of the computer says what
 * cells it has open, fetches the picture, puts it there, and says that it has.
 */
export class Photographs {
  readonly #tell: (news: { id: string; client: string; cell: string }) => void;
  readonly #pages = new Map<string, { places: PhotoPlaces; heard: number }>();
  readonly #underWay = new Map<string, UnderWay>();

  /** @param tell told that a picture waits for the page `client` */
  constructor(tell: (news: { id: string; client: string; cell: string }) => void) {
    this.#tell = tell;
  }

  /** A page has these cells open, from the one most looked at on; none when it is left. */
  announce(client: string, places: PhotoPlaces): void {
    this.#pages.delete(client);
    if (places.cells.length > 0 && this.#pages.size < mostPages)
      this.#pages.set(client, { places, heard: performance.now() });
  }

  /** The cells that are open somewhere; the page heard of last comes first. */
  get places(): readonly (PhotoPlaces & { readonly client: string })[] {
    const now = performance.now();
    for (const [client, { heard }] of this.#pages) if (now - heard > heardMs) this.#pages.delete(client);
    return [...this.#pages].map(([client, { places }]) => ({ ...places, client })).reverse();
  }

  /**
   * Hands a picture to a page and waits until it is in its cell.
   *
   * @throws Refusal when that cell is not open (409), the page does not take it (422) or does not answer (504)
   */
  async hand(client: string, cell: string, picture: unknown): Promise<void> {
    const isOpen = this.places.some(
      (one) => one.client === client && one.cells.some(({ id }) => id === cell),
    );
    if (!isOpen)
      throw new Refusal(409, "The cell is not open on the computer any more. Open it there and try again.");
    if (this.#underWay.size >= mostUnderWay)
      throw new Refusal(503, "Other photographs are under way. Try again in a moment.");
    const id = randomBytes(8).toString("hex");
    const trouble = await new Promise<string | undefined | null>((resolve) => {
      const limit = setTimeout(() => resolve(null), takenLimitMs);
      const done = (text: string | undefined) => {
        clearTimeout(limit);
        resolve(text);
      };
      this.#underWay.set(id, { picture, client, done });
      this.#tell({ id, client, cell });
    });
    this.#underWay.delete(id);
    if (trouble === null)
      throw new Refusal(504, "The computer did not take the photograph. Is its window in front? Try again.");
    if (trouble !== undefined) throw new Refusal(422, trouble);
  }

  /** The picture that waits. @throws Refusal (404) when it does not wait any more */
  picture(id: string): unknown {
    return this.#found(id).picture;
  }

  /** The page has put the picture into its cell, or says why not. */
  taken(id: string, trouble: string | undefined): void {
    this.#found(id).done(trouble);
  }

  #found(id: string): UnderWay {
    const found = this.#underWay.get(id);
    if (!found) throw new Refusal(404, "This photograph does not wait any more.");
    return found;
  }
}
