import { jobUnits } from "../document/jobUnits.ts";
import type { KeptPiece, NotebookCell, NotebookDocument } from "../document/notebook.ts";
import * as operations from "../document/operations.ts";
import { type Cover, coveredCells } from "../document/secrets.ts";
import { fold, toggleSight, viewOf } from "../document/view.ts";
import type { Apart } from "../graph/apart.ts";
import { anyPort, type CellKind, type Registry } from "../graph/defineCell.ts";
import { messageOf } from "../graph/messageOf.ts";
import { NotebookGraph } from "../graph/notebookGraph.ts";
import { hasNumbers } from "../graph/offered.ts";
import { initialParameters } from "../graph/parameters.ts";
import type { RunTask } from "../tasks/longTask.ts";
import type { UnitSystem } from "../units/units.ts";
import { withFirstSight } from "./firstSight.ts";
import { isSupply } from "./supplyLine.ts";

/** A change of the document, so that the saver can group a gesture. */
export interface DocumentChange {
  readonly document: NotebookDocument;
  /** True while a gesture goes on, e.g. a slider being dragged. */
  readonly live: boolean;
}

export interface RunningAction {
  readonly name: string;
  readonly share: number | undefined;
  readonly text: string | undefined;
  readonly stop: () => void;
}

/**
 * The open notebook: its document, the live graph, and every way to change it.
 * Events: `document` (the document changed), `outcomes` (something was computed), `message` (something to tell).
 */
export class NotebookStore extends EventTarget {
  readonly registry: Registry;
  readonly graph: NotebookGraph;
  #document: NotebookDocument;
  #covers?: { readonly cells: readonly NotebookCell[]; readonly by: ReadonlyMap<string, Cover> };
  #units?: { readonly cells: readonly NotebookCell[]; readonly of: UnitSystem };
  readonly actions = new Map<string, RunningAction>();
  /** Cells that a person has unfolded here: they are not folded by themselves. */
  readonly #openByHand = new Set<string>();

  constructor(registry: Registry, document: NotebookDocument, run: RunTask, apart?: Apart) {
    super();
    this.registry = registry;
    this.graph = new NotebookGraph(registry, run, apart);
    this.graph.subscribe(() => this.#emit("outcomes"));
    this.#document = document;
    this.graph.setCells(document.cells);
  }

  get document(): NotebookDocument {
    return this.#document;
  }

  /** Units in which the job is read and typed, looked for once for every state: each cell and view asks. */
  get units(): UnitSystem {
    const { cells } = this.#document;
    if (this.#units?.cells !== cells) this.#units = { cells, of: jobUnits(cells) };
    return this.#units.of;
  }

  /** The open question that would be answered by what a cell shows; nothing of it is to be seen until then. */
  coverOf(id: string): Cover | undefined {
    const { cells } = this.#document;
    if (this.#covers?.cells !== cells) this.#covers = { cells, by: coveredCells(cells, this.registry) };
    return this.#covers.by.get(id);
  }

  isCovered(id: string): boolean {
    return this.coverOf(id) !== undefined;
  }

  /** Put another state of the document in place, e.g. from an undo or from a file. */
  replace(document: NotebookDocument, live = false): void {
    if (document === this.#document) return;
    const { cells } = this.#document;
    this.#document = document;
    if (document.cells !== cells) this.graph.setCells(document.cells);
    this.dispatchEvent(new CustomEvent<DocumentChange>("document", { detail: { document, live } }));
  }

  cell(id: string): NotebookCell | undefined {
    return this.#document.cells.find((cell) => cell.id === id);
  }

  set(id: string, patch: Readonly<Record<string, unknown>>, live = false): void {
    this.setTogether([{ id, patch }], live);
  }

  /** Change parameters of several cells as one change of the document. */
  setTogether(
    changes: readonly { readonly id: string; readonly patch: Readonly<Record<string, unknown>> }[],
    live = false,
  ): void {
    this.#change(
      (document) => changes.reduce((so, { id, patch }) => operations.setParameters(so, id, patch), document),
      live,
    );
  }

  rename(id: string, title: string): void {
    this.#change((document) => operations.renameCell(document, id, title));
  }

  renameNotebook(title: string): void {
    this.#change((document) => operations.renameNotebook(document, title));
  }

  remove(id: string): void {
    this.#change((document) => operations.removeCell(document, id));
  }

  move(id: string, by: number): void {
    const at = this.#document.cells.findIndex((cell) => cell.id === id);
    this.#change((document) => operations.moveCell(document, id, at + by));
  }

  /** Fold some cells, or unfold them; what a person unfolds stays open when it is ready. */
  fold(ids: readonly string[], folded: boolean): void {
    for (const id of ids) {
      if (folded) this.#openByHand.delete(id);
      else this.#openByHand.add(id);
    }
    this.#change((document) => fold(document, ids, folded));
  }

  /** Unfold a cell that something leads to. */
  show(id: string): void {
    this.#change((document) => fold(document, [id], false));
  }

  /** Fold the supplies that are ready: a person goes on to what they are for. */
  foldSettled(): void {
    this.#change((document) => fold(document, this.#settledSupplies(), true));
  }

  isFolded(id: string): boolean {
    return viewOf(this.#document).folded.includes(id);
  }

  /** Keep a piece of a cell in sight, or let it go. */
  toggleSight(kept: KeptPiece): void {
    this.#change((document) => toggleSight(document, kept));
  }

  /** Pieces that are kept in sight, in order; those of cells that are gone are left out. */
  get sight(): KeptPiece[] {
    return viewOf(this.#document).sight.filter(({ cell }) => this.cell(cell) !== undefined);
  }

  /** Names of the pieces of a cell that are kept in sight. */
  keptOf(id: string): string[] {
    return viewOf(this.#document).sight.flatMap(({ cell, piece }) => (cell === id ? [piece] : []));
  }

  /** Ready supplies, which are in the way of what comes next; those that a person has unfolded stay open. */
  #settledSupplies(): string[] {
    return this.#document.cells
      .filter(
        ({ id, kind }) =>
          isSupply(this.registry.get(kind)) &&
          !this.#openByHand.has(id) &&
          this.graph.outcome(id).status === "ok",
      )
      .map(({ id }) => id);
  }

  /** Returns the id of the copy, which is taken wherever several such cells are and the first one was. */
  duplicate(id: string): string | undefined {
    return this.#put(() => {
      const copied = operations.duplicateCell(this.#document, id);
      return { ...copied, document: this.#takenLike(id, copied) };
    });
  }

  /** The document in which a new cell is taken wherever several cells are and the other one is. */
  #takenLike(
    like: string,
    { document, id }: { readonly document: NotebookDocument; readonly id: string },
  ): NotebookDocument {
    const kindOf = (cell: string) => document.cells.find((other) => other.id === cell)?.kind ?? "";
    const gives = this.registry.get(kindOf(id))?.output;
    return operations.takeToo(document, like, id, (kind, input) => {
      const port = this.registry.get(kind)?.inputs[input];
      return gives !== undefined && port?.type === gives && port.many === true;
    });
  }

  link(id: string, input: string, givers: readonly string[]): void {
    this.#change((document) => operations.setLinks(document, id, input, givers));
  }

  /**
   * Add a cell of a kind, linked to the nearest cells above that fit, and taken wherever several such cells are and the
   * last one of them is, such as one more part; returns its id.
   * @param given a title and parameters to begin with, other than the kind's own
   */
  add(
    kind: CellKind,
    at: number,
    given: { title?: string; parameters?: Readonly<Record<string, unknown>> } = {},
  ): string | undefined {
    const cell = {
      kind: kind.kind,
      title: given.title ?? kind.label,
      parameters: { ...initialParameters(kind.parameters), ...given.parameters },
      inputs: this.#suggestedLinks(kind, at),
    };
    const like = kind.output === undefined ? undefined : this.givers(kind.output).at(-1);
    return this.#put(() => {
      const added = operations.addCell(this.#document, cell, at);
      const taken = like ? this.#takenLike(like.id, added) : added.document;
      return { ...added, document: withFirstSight(fold(taken, this.#settledSupplies(), true), added.id) };
    });
  }

  #suggestedLinks(kind: CellKind, at: number): Record<string, string | string[]> {
    const inputs: Record<string, string | string[]> = {};
    for (const [name, port] of Object.entries(kind.inputs)) {
      const fitting = this.givers(port.type);
      const above = fitting.filter((cell) => this.#document.cells.indexOf(cell) < at);
      const candidates = above.length > 0 ? above : fitting;
      if (port.type === anyPort) {
        // Every cell fits: only what must be linked is guessed at.
        const nearest = candidates.filter((cell) => this.registry.get(cell.kind)?.quantities).at(-1);
        if (!port.optional && nearest) inputs[name] = port.many ? [nearest.id] : nearest.id;
      } else if (port.many) inputs[name] = candidates.map((cell) => cell.id);
      else if (candidates.length > 0) inputs[name] = candidates[candidates.length - 1].id;
    }
    return inputs;
  }

  /** Cells that give a type, in order; any cell with numbers to ask for or to move gives "any". */
  givers(type: string): NotebookCell[] {
    return this.#document.cells.filter((cell) => {
      const kind = this.registry.get(cell.kind);
      return type === anyPort ? kind !== undefined && hasNumbers(kind) : kind?.output === type;
    });
  }

  /** Values behind a cell's links, port by port; undefined where nothing was computed yet. */
  linkedValues(cell: NotebookCell): Record<string, unknown> {
    const values: Record<string, unknown> = {};
    for (const [name, port] of Object.entries(this.registry.get(cell.kind)?.inputs ?? {})) {
      const ids = [cell.inputs[name] ?? []].flat();
      const found = ids.map((id) => this.graph.lastValue(id));
      values[name] = port.many ? found : found[0];
    }
    return values;
  }

  /** Run an action of a cell; its answer becomes parameters. */
  async act(id: string, name: string): Promise<void> {
    const controller = new AbortController();
    const stop = () => controller.abort(new DOMException("stopped", "AbortError"));
    const progress = (share?: number, text?: string) => {
      this.actions.set(id, { name, share, text, stop });
      this.#emit("outcomes");
    };
    this.actions.get(id)?.stop();
    progress();
    try {
      const also: { id: string; patch: Readonly<Record<string, unknown>> }[] = [];
      const patch = await this.graph.act(id, name, controller.signal, progress, (other, change) =>
        also.push({ id: other, patch: change }),
      );
      this.setTogether([{ id, patch }, ...also]);
    } catch (error) {
      if (!controller.signal.aborted) this.#tellOf(error);
    } finally {
      this.actions.delete(id);
      this.#emit("outcomes");
    }
  }

  /** Show a message to the person. */
  tell(text: string, wayOut?: string): void {
    this.dispatchEvent(new CustomEvent("message", { detail: { text, wayOut } }));
  }

  dispose(): void {
    for (const action of this.actions.values()) action.stop();
    this.graph.dispose();
  }

  #emit(type: string): void {
    this.dispatchEvent(new Event(type));
  }

  #change(change: (document: NotebookDocument) => NotebookDocument, live = false): void {
    try {
      this.replace(change(this.#document), live);
    } catch (error) {
      this.#tellOf(error);
    }
  }

  /** Puts a new cell in place; gives its id. */
  #put(make: () => { document: NotebookDocument; id: string }): string | undefined {
    try {
      const { document, id } = make();
      this.replace(document);
      return id;
    } catch (error) {
      this.#tellOf(error);
      return undefined;
    }
  }

  #tellOf(error: unknown): void {
    this.tell(messageOf(error), (error as { wayOut?: string }).wayOut);
  }
}
