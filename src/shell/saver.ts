import { type NotebookDocument, serialiseNotebook } from "../document/notebook.ts";
import type { RefusedAnswer } from "../document/served.ts";
import { type Service, ServiceError } from "./service.ts";

/** How it stands with the file. */
export type SaveState =
  | { readonly kind: "saved" }
  | { readonly kind: "waiting" }
  | { readonly kind: "saving" }
  /** Not now; it is tried again by itself. */
  | { readonly kind: "away"; readonly reason: string }
  /** The server will not have it as it is. */
  | { readonly kind: "refused"; readonly reason: string }
  /** The file was changed elsewhere. */
  | { readonly kind: "conflict"; readonly reason: string }
  /** The file is no longer there. */
  | { readonly kind: "gone"; readonly reason: string }
  /** The server now serves another folder. */
  | { readonly kind: "elsewhere"; readonly reason: string };

interface SaverOptions {
  readonly service: Pick<Service, "save">;
  readonly name: string;
  /** Revision of the state in the file. */
  readonly revision: string;
  /** Told whenever `state` changes. */
  readonly onState: () => void;
  /** Told that a state is in the file. */
  readonly onSaved: (document: NotebookDocument, revision: string) => void;
  /** Told what stands in the file when others have changed it. */
  readonly onConflict: (text: string, revision: string) => void;
}

const quietMs = 400;
const retryMs = { first: 1000, most: 15_000 } as const;
const mostRemembered = 4;

/**
 * Saves the notebook as it changes: a moment after the last change, one save at a time, each on the revision that it is
 * based on. Nothing of others is overwritten; while the server is away it keeps trying.
 */
export class Saver {
  readonly #options: SaverOptions;
  #revision: string;
  #wanted: NotebookDocument | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #busy: Promise<void> | undefined;
  #retryMs: number = retryMs.first;
  #ended = false;
  /** Counts what makes an older reading of the file out of date. */
  #turns = 0;
  /** Sent, but the answer never came: the file may hold one of these. */
  #sent: { document: NotebookDocument; text: string }[] = [];
  state: SaveState = { kind: "saved" };

  constructor(options: SaverOptions) {
    this.#options = options;
    this.#revision = options.revision;
  }

  /** Revision of the state in the file, as far as it is known here. */
  get revision(): string {
    return this.#revision;
  }

  /** Something changed: save it soon. */
  want(document: NotebookDocument): void {
    this.#wanted = document;
    if (this.#isHeld && this.state.kind !== "refused") return;
    if (this.state.kind !== "away") this.#set({ kind: "waiting" });
    this.#later(quietMs);
  }

  /** Waiting for a person: trying again by itself would not help. */
  get #isHeld(): boolean {
    return ["conflict", "gone", "refused", "elsewhere"].includes(this.state.kind);
  }

  /**
   * Save at once what waits.
   * @param leaving the page is being left
   */
  async flush(leaving = false): Promise<void> {
    clearTimeout(this.#timer);
    if (this.#busy) await this.#busy; // else it begins at once: a page that is being left has no later
    await this.#save(leaving);
  }

  /** Try again now. */
  retry(): void {
    this.#retryMs = retryMs.first;
    if (this.state.kind === "away" || this.state.kind === "refused") this.#later(0);
  }

  /** The server is there again after a pause. */
  serverIsBack(): void {
    if (this.state.kind === "away") this.retry();
  }

  /**
   * Read the file while no save is under way and no other reading is looked at: what is read is then never older than
   * what is known already, which would undo the changes in between.
   * @param read reads the file
   */
  async between<Result>(read: () => Promise<Result>): Promise<Result> {
    for (;;) {
      while (this.#busy) await this.#busy;
      const before = this.#turns;
      const result = await read();
      if (!this.#busy && this.#turns === before) return result;
    }
  }

  /**
   * Continue on another revision, after what stands in the file has been looked at.
   * @param wanted what to save next; undefined when the file holds what is shown
   */
  rebase(revision: string, wanted: NotebookDocument | undefined): void {
    this.#turns++;
    this.#revision = revision;
    this.#sent = [];
    this.#wanted = wanted;
    clearTimeout(this.#timer);
    this.#set({ kind: wanted ? "waiting" : "saved" });
    if (wanted) this.#later(0);
  }

  /** The file was found changed or gone by other ways than a save. */
  hold(state: Extract<SaveState, { kind: "conflict" | "gone" }>): void {
    clearTimeout(this.#timer);
    this.#set(state);
  }

  /** Save no more. */
  end(): void {
    this.#ended = true;
    clearTimeout(this.#timer);
  }

  #later(ms: number): void {
    clearTimeout(this.#timer);
    if (!this.#ended) this.#timer = setTimeout(() => void this.#save(), ms);
  }

  #save(leaving = false): Promise<void> {
    if (this.#busy) return this.#busy;
    if (!this.#wanted || this.#ended || (this.#isHeld && this.state.kind !== "refused"))
      return Promise.resolve();
    this.#busy = this.#saveOnce(this.#wanted, leaving).finally(() => {
      this.#busy = undefined;
    });
    return this.#busy;
  }

  async #saveOnce(document: NotebookDocument, leaving: boolean): Promise<void> {
    this.#wanted = undefined;
    this.#turns++;
    const text = serialiseNotebook(document);
    if (this.state.kind !== "away") this.#set({ kind: "saving" });
    try {
      const { revision } = await this.#options.service.save(
        this.#options.name,
        text,
        this.#revision,
        leaving,
      );
      this.#isIn(document, revision);
    } catch (error) {
      this.#wanted ??= document;
      this.#meet(error as Error, { document, text });
    }
  }

  #isIn(document: NotebookDocument, revision: string): void {
    this.#revision = revision;
    this.#sent = [];
    this.#retryMs = retryMs.first;
    this.#options.onSaved(document, revision);
    this.#set({ kind: this.#wanted ? "waiting" : "saved" });
    if (this.#wanted) this.#later(quietMs);
  }

  #meet(error: Error, sent: { document: NotebookDocument; text: string }): void {
    const reason = error.message;
    const { status, answer } = error instanceof ServiceError ? error : { status: 0, answer: {} };
    const { text, revision } = answer as RefusedAnswer;
    if (status === 409 && text !== undefined && revision !== undefined) {
      const own = [...this.#sent, sent].find((earlier) => earlier.text === text);
      if (own) {
        // A save whose answer was lost had arrived after all: nobody else has changed anything.
        if (this.#wanted === own.document) this.#wanted = undefined;
        this.#isIn(own.document, revision);
      } else {
        this.#set({ kind: "conflict", reason });
        this.#options.onConflict(text, revision);
      }
    } else if (status === 404) this.#set({ kind: "gone", reason });
    else if (status === 421) this.#set({ kind: "elsewhere", reason });
    else if ([400, 413, 415, 422].includes(status)) this.#set({ kind: "refused", reason });
    else {
      // It may have arrived all the same.
      if (status === 0 || status >= 500) this.#sent = [...this.#sent, sent].slice(-mostRemembered);
      this.#set({ kind: "away", reason });
      this.#later(this.#retryMs);
      this.#retryMs = Math.min(2 * this.#retryMs, retryMs.most);
    }
  }

  #set(state: SaveState): void {
    this.state = state;
    if (!this.#ended) this.#options.onState();
  }
}
