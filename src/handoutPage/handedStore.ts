import type { NotebookDocument } from "../document/notebook.ts";
import type { Registry } from "../graph/defineCell.ts";
import type { Told } from "../handout/begins.ts";
import { isAnswered, mayMove } from "../handout/choice.ts";
import { NotebookStore } from "../shell/notebookStore.ts";
import type { RunTask } from "../tasks/longTask.ts";

type Change = { readonly id: string; readonly patch: Readonly<Record<string, unknown>> };

/** The living cells of a saved page: what its author did not give into the reader's hand stays as it is. */
export class HandedStore extends NotebookStore {
  readonly #told: Told;
  #asSaved: NotebookDocument;

  /** @param document the cells to begin with */
  constructor(registry: Registry, document: NotebookDocument, run: RunTask, told: Told) {
    super(registry, document, run);
    this.#told = told;
    this.#asSaved = document;
  }

  /** Takes in all cells that live. */
  complete(document: NotebookDocument): void {
    this.#asSaved = document;
    this.replace(document);
  }

  /** Whether a reader may move a setting. */
  may(id: string, name: string): boolean {
    return this.#isAnswered(id) || mayMove(this.#told, id, name);
  }

  #isAnswered(id: string): boolean {
    const kind = this.registry.get(this.cell(id)?.kind ?? "");
    return kind !== undefined && isAnswered(kind);
  }

  /** Whether everything that a cell offers is in the reader's hand. */
  isOpen(id: string): boolean {
    return this.#isAnswered(id) || this.#told.moves[id] === "all";
  }

  /** A change of which one part is not allowed is none. */
  override setTogether(changes: readonly Change[], live = false): void {
    const allowed = changes.every(({ id, patch }) => Object.keys(patch).every((name) => this.may(id, name)));
    if (allowed) super.setTogether(changes, live);
  }

  override async act(id: string, name: string): Promise<void> {
    if (this.isOpen(id)) await super.act(id, name);
  }

  /** Whether anything stands elsewhere than when the page was saved. */
  get isMoved(): boolean {
    return this.document.cells !== this.#asSaved.cells;
  }

  /** Everything back to where it stood. */
  putBack(): void {
    this.replace(this.#asSaved);
  }
}
