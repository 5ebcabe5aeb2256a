import type { ItemVersion, LibraryItem } from "../document/libraryItem.ts";
import type { LibraryEntry } from "../document/served.ts";
import { messageOf } from "../graph/messageOf.ts";
import { type Service, service } from "./service.ts";

/**
 * What the library holds, as far as this page knows.
 * Events: `change`.
 */
class LibraryIndex extends EventTarget {
  readonly #service: Pick<Service, "library" | "libraryItem">;
  #entries: readonly LibraryEntry[] | undefined;
  #reading: Promise<void> | undefined;
  readonly #items = new Map<string, Promise<LibraryItem>>();
  /** Why the list could not be read. */
  trouble = "";

  constructor(source: Pick<Service, "library" | "libraryItem">) {
    super();
    this.#service = source;
  }

  /** The items, or undefined while they have not been read yet. */
  get entries(): readonly LibraryEntry[] | undefined {
    if (!this.#entries && !this.#reading) void this.refresh();
    return this.#entries;
  }

  entry(name: string): LibraryEntry | undefined {
    return this.entries?.find((other) => other.name === name);
  }

  /** Read the list again, at the first need and whenever the server tells of a change. */
  refresh(): Promise<void> {
    this.#reading ??= this.#read().finally(() => {
      this.#reading = undefined;
    });
    return this.#reading;
  }

  async #read(): Promise<void> {
    try {
      this.#entries = await this.#service.library();
      this.#items.clear();
      this.trouble = "";
    } catch (error) {
      this.#entries ??= [];
      this.trouble = messageOf(error);
    }
    this.dispatchEvent(new Event("change"));
  }

  /** An item with all its versions. */
  item(name: string): Promise<LibraryItem> {
    let item = this.#items.get(name);
    if (!item) {
      item = this.#service.libraryItem(name);
      item.catch(() => this.#items.delete(name));
      this.#items.set(name, item);
    }
    return item;
  }

  /** A version of an item; undefined when the item no longer has it. */
  async version(name: string, number: number): Promise<ItemVersion | undefined> {
    return (await this.item(name)).versions.find((version) => version.number === number);
  }
}

/** The library of the folder that the server serves. */
export const library = new LibraryIndex(service);
