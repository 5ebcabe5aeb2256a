import { messageOf } from "../graph/messageOf.ts";
import type { LedgerChange, LedgerEntry } from "./ledgerFile.ts";

/** Where the ledger is read and changed. */
interface LedgerSource {
  read(): Promise<readonly LedgerEntry[]>;
  change(changes: readonly LedgerChange[]): Promise<unknown>;
}

/**
 * The ledger as far as this page knows it; without a source there is none at hand.
 * Events: `change`.
 */
class LedgerAtHand extends EventTarget {
  #source: LedgerSource | undefined;
  #entries: readonly LedgerEntry[] | undefined;
  #reading: Promise<void> | undefined;
  /** Why it could not be read. */
  trouble = "";

  /** Take a source into use; it is read when it is first needed. */
  serve(source: LedgerSource | undefined): void {
    this.#source = source;
    this.#entries = undefined;
    this.trouble = "";
    this.dispatchEvent(new Event("change"));
  }

  /** The panels, or undefined while they have not been read or there is no ledger at hand. */
  get entries(): readonly LedgerEntry[] | undefined {
    if (this.#source && !this.#entries && !this.#reading && this.trouble === "") void this.refresh();
    return this.#entries;
  }

  /** Read it again, at the first need and whenever it is told that it has changed. */
  refresh(): Promise<void> {
    this.#reading ??= this.#read().finally(() => {
      this.#reading = undefined;
    });
    return this.#reading;
  }

  /** Read it again where it was read before: nobody else needs it. */
  changedElsewhere(): void {
    if (this.#entries) void this.refresh();
  }

  async #read(): Promise<void> {
    try {
      this.#entries = await this.#source?.read();
      this.trouble = "";
    } catch (error) {
      this.trouble = messageOf(error);
    }
    this.dispatchEvent(new Event("change"));
  }

  /**
   * Change panels, all of them or none.
   * @throws Error in plain words when nothing was changed
   */
  async change(changes: readonly LedgerChange[]): Promise<void> {
    if (!this.#source)
      throw new Error("There is no ledger at hand: the workbench is not served from a folder");
    await this.#source.change(changes);
    await this.#reading; // begun before the change
    await this.refresh();
  }
}

/** The ledger of the folder that the server serves. */
export const ledger = new LedgerAtHand();
