import { createHash } from "node:crypto";
import { type NotebookDocument, serialiseNotebook } from "../../src/document/notebook.ts";
import { AwayError, type Service, ServiceError } from "../../src/shell/service.ts";
import type { ServerNews } from "../../src/shell/serviceEvents.ts";
import type { Tabs } from "../../src/shell/tabs.ts";

/** What the server does with the next saves. */
export type Mood = "there" | "away" | "answer lost";

/** A server with its folder, in memory, as far as an open notebook needs it. */
export class MemoryServer {
  readonly files = new Map<string, string>();
  mood: Mood = "there";
  folder = "/notebooks";
  /** How long a request is on its way, ms, each way. */
  latency: () => number = () => 0;
  /** Texts of all saves that were confirmed. */
  readonly confirmed: string[] = [];
  saves = 0;
  readonly #listeners = new Set<(news: ServerNews) => void>();

  static revisionOf(text: string): string {
    return createHash("sha256").update(text).digest("hex").slice(0, 16);
  }

  put(name: string, document: NotebookDocument): void {
    this.files.set(name, serialiseNotebook(document));
  }

  document(name: string): NotebookDocument {
    return JSON.parse(this.files.get(name) ?? "null");
  }

  /** Tell every window of a change, as the real server does a moment after it. */
  tell(name: string, client?: string): void {
    const text = this.files.get(name);
    const revision = text === undefined ? null : MemoryServer.revisionOf(text);
    for (const listener of this.#listeners)
      listener({ kind: "notebook", change: { name, revision, outside: client === undefined, client } });
  }

  comeBack(): void {
    this.mood = "there";
    for (const listener of this.#listeners) listener({ kind: "there" });
  }

  /** All windows are gone at once. */
  loseListeners(): void {
    this.#listeners.clear();
  }

  readonly listen = (tell: (news: ServerNews) => void) => {
    this.#listeners.add(tell);
    return () => void this.#listeners.delete(tell);
  };

  #way(): Promise<void> | undefined {
    const ms = this.latency();
    // The pause is the server's distance; tests of it bring timers of their own.
    return ms > 0 ? new Promise((resolve) => setTimeout(resolve, ms)) : undefined;
  }

  /** The server as a window of the given name sees it. */
  service(client: string): Service {
    const there = () => {
      if (this.mood === "away") throw new AwayError("The server does not answer");
    };
    const read = (name: string) => {
      const text = this.files.get(name);
      if (text === undefined) throw new ServiceError(404, { error: `There is no notebook "${name}"` });
      return { name, text, revision: MemoryServer.revisionOf(text), modified: "" };
    };
    const service: Partial<Service> = {
      session: async () => ({ token: "t", folder: this.folder }),
      open: async (name) => {
        await this.#way();
        there();
        const found = read(name);
        await this.#way();
        return found;
      },
      save: async (name, text, basedOn) => {
        this.saves++;
        await this.#way();
        there();
        const present = read(name);
        const revision = MemoryServer.revisionOf(text);
        if (present.revision !== revision) {
          if (present.revision !== basedOn)
            throw new ServiceError(409, { error: "changed elsewhere", ...present });
          this.files.set(name, text);
          this.tell(name, client);
        }
        await this.#way();
        if (this.mood === "answer lost") throw new AwayError("The answer of the server was cut short");
        this.confirmed.push(text);
        return { name, revision, modified: "" };
      },
      create: async (document, name) => {
        there();
        let free = name ?? document.title.toLowerCase().replace(/[^a-z]+/g, "-");
        while (name === undefined && this.files.has(free)) free += "-2";
        if (this.files.has(free)) throw new ServiceError(409, { error: "taken", taken: free });
        this.put(free, document);
        return read(free);
      },
    };
    return service as Service;
  }
}

/** Windows of one browser, without the browser. */
export function memoryTabs(): Tabs & { crash(): void } {
  const taken = new Set<string>();
  const announced = new Map<string, Set<(others: number) => void>>();
  return {
    async take(notebook) {
      let slot = 0;
      while (taken.has(`${notebook} ${slot}`)) slot++;
      taken.add(`${notebook} ${slot}`);
      return { slot, release: () => void taken.delete(`${notebook} ${slot}`) };
    },
    async takeLeft(notebook, slot) {
      if (taken.has(`${notebook} ${slot}`)) return undefined;
      taken.add(`${notebook} ${slot}`);
      return { slot, release: () => void taken.delete(`${notebook} ${slot}`) };
    },
    announce(notebook, changed) {
      const all = announced.get(notebook) ?? new Set();
      announced.set(notebook, all.add(changed));
      const tellAll = () => {
        for (const tell of all) tell(all.size - 1);
      };
      if (all.size > 1) tellAll();
      return () => {
        all.delete(changed);
        tellAll();
      };
    },
    /** All windows are gone at once, without a word. */
    crash() {
      taken.clear();
      announced.clear();
    },
  };
}
