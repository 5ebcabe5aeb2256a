import type { NotebookDocument } from "../document/notebook.ts";
import { ServiceError, service } from "./service.ts";

export type SaveState =
  | { readonly kind: "saved" }
  | { readonly kind: "waiting" }
  | { readonly kind: "saving" }
  | { readonly kind: "away"; readonly reason: string }
  | { readonly kind: "conflict"; readonly reason: string };

const quietMs = 400;
const retryMs = 3000;

/**
 * Saves the notebook as it changes: a moment after the last change, one save at a time, each on the revision it was based on.
 * A conflict is shown and never overwritten; while the server is away it keeps trying.
 */
export class Saver {
  readonly #name: string;
  #revision: string;
  #wanted: NotebookDocument | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #busy = false;
  state: SaveState = { kind: "saved" };
  readonly #changed: () => void;

  constructor(name: string, revision: string, changed: () => void) {
    this.#name = name;
    this.#revision = revision;
    this.#changed = changed;
  }

  get revision(): string {
    return this.#revision;
  }

  /** Something changed: save it soon. */
  want(document: NotebookDocument): void {
    this.#wanted = document;
    if (this.state.kind === "conflict") return;
    if (this.state.kind === "saved") this.#set({ kind: "waiting" });
    this.#later(quietMs);
  }

  /** Save at once what waits. */
  async flush(): Promise<void> {
    clearTimeout(this.#timer);
    await this.#save();
  }

  /** Continue on another revision, after a conflict was settled. */
  rebase(revision: string): void {
    this.#revision = revision;
    this.#set({ kind: this.#wanted ? "waiting" : "saved" });
    if (this.#wanted) this.#later(0);
  }

  #later(ms: number): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.#save(), ms);
  }

  async #save(): Promise<void> {
    const document = this.#wanted;
    if (!document || this.#busy) return;
    this.#wanted = undefined;
    this.#busy = true;
    this.#set({ kind: "saving" });
    try {
      this.#revision = (await service.save(this.#name, document, this.#revision)).revision;
      this.#set({ kind: this.#wanted ? "waiting" : "saved" });
      if (this.#wanted) this.#later(quietMs);
    } catch (error) {
      this.#wanted ??= document;
      if (error instanceof ServiceError && error.status === 409) {
        this.#set({ kind: "conflict", reason: error.message });
      } else {
        this.#set({ kind: "away", reason: (error as Error).message });
        this.#later(retryMs);
      }
    } finally {
      this.#busy = false;
    }
  }

  #set(state: SaveState): void {
    this.state = state;
    this.#changed();
  }
}
