import { lstat } from "node:fs/promises";
import { stampOf } from "./notebookFile.ts";

interface FolderIndexOptions<Entry, State> {
  /** Names of the files that are there. */
  names(): Promise<string[]>;
  pathOf(name: string): string;
  /** Reads what is listed of a file; what cannot be read is an entry too. */
  entryOf(name: string, status: Awaited<ReturnType<typeof lstat>>): Promise<Entry>;
  stateOf(entry: Entry): State;
  /** Told after each change; the state is null when the file is gone. */
  onChange(name: string, state: State | null, outside: boolean, client?: string): void;
}

/**
 * What the server knows of the files of one folder: their entries, read anew only when a file looks different, and the
 * state of each that was told last.
 */
export class FolderIndex<Entry extends { readonly name: string }, State> {
  readonly #options: FolderIndexOptions<Entry, State>;
  readonly #entries = new Map<string, { stamp: string; entry: Entry }>();
  readonly #told = new Map<string, State>();

  constructor(options: FolderIndexOptions<Entry, State>) {
    this.#options = options;
  }

  async list(): Promise<Entry[]> {
    const entries: Entry[] = [];
    for (const name of await this.#options.names()) {
      const entry = await this.#entryOf(name);
      if (entry) entries.push(entry);
    }
    return entries;
  }

  async #entryOf(name: string): Promise<Entry | undefined> {
    const status = await lstat(this.#options.pathOf(name)).catch(() => undefined);
    if (!status?.isFile()) return undefined;
    const stamp = stampOf(status);
    const before = this.#entries.get(name);
    if (before?.stamp === stamp) return before.entry;
    const entry = await this.#options.entryOf(name, status);
    this.put(stamp, entry);
    return entry;
  }

  /** Notes the entry of a file that was just written. */
  put(stamp: string, entry: Entry): void {
    this.#entries.set(entry.name, { stamp, entry });
  }

  /** Tells a change that this server has made. */
  tell(name: string, state: State | null, client?: string): void {
    this.#tell(name, state, false, client);
  }

  /** Takes the folder as it is now for told. */
  async learn(): Promise<void> {
    for (const entry of await this.list()) this.#told.set(entry.name, this.#options.stateOf(entry));
  }

  /** Tells what other programs have changed. */
  async scan(): Promise<void> {
    const present = new Map((await this.list()).map((entry) => [entry.name, this.#options.stateOf(entry)]));
    for (const name of [...this.#told.keys()]) if (!present.has(name)) this.#tell(name, null, true);
    for (const [name, state] of present) if (this.#told.get(name) !== state) this.#tell(name, state, true);
  }

  #tell(name: string, state: State | null, outside: boolean, client?: string): void {
    if (state === null) this.#told.delete(name);
    else this.#told.set(name, state);
    this.#options.onChange(name, state, outside, client);
  }
}
