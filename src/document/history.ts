import type { NotebookDocument, NotebookView } from "./notebook.ts";
import { isEmptyStep, type Step, stepBetween, takeStep, takeStepBack } from "./patches.ts";
import { sameValue } from "./sameValue.ts";
import { sameWork, viewOf, withView } from "./view.ts";

/** One gesture that can be undone. */
interface HistoryEntry {
  readonly step: Step;
  /** In a few words, such as: settings of “The red”. */
  readonly label: string;
  /** When, ms since 1970. */
  readonly at: number;
}

/** What is written down for each event, so that the history can be told again from its records. */
export type HistoryRecord =
  | {
      readonly kind: "start";
      readonly document: NotebookDocument;
      readonly entries: readonly HistoryEntry[];
      readonly position: number;
      /** The state that is in the file, when it is another than `document`. */
      readonly savedDocument: NotebookDocument | undefined;
      readonly revision: string;
    }
  | { readonly kind: "step"; readonly entry: HistoryEntry }
  /** It is looked at in another way; nothing that could be undone. */
  | { readonly kind: "view"; readonly view: NotebookView }
  | { readonly kind: "undo" }
  | { readonly kind: "redo" }
  /** The state after the record numbered `after` is in the file, as this revision. */
  | { readonly kind: "saved"; readonly after: number; readonly revision: string }
  /** The file was found in another state than the one saved last, and that state is part of ours from here on. */
  | { readonly kind: "base"; readonly step: Step; readonly revision: string };

/** How many gestures can be undone. */
export const longestHistory = 200;

/** The state in the file. */
interface SavedState {
  readonly document: NotebookDocument;
  readonly revision: string;
}

/**
 * A notebook with its past and its undone future, and the state that is in the file. Every change gives a record; the
 * records, told again in order, give the same history, which is how it survives a reload and how edits made while the
 * server is away survive anything.
 */
export class NotebookHistory {
  #document: NotebookDocument;
  #entries: HistoryEntry[];
  #position: number;
  #saved: SavedState;
  /** Number of the last record. */
  #number = 0;
  /** State after each record since the last save. */
  readonly #states = new Map<number, NotebookDocument>();

  private constructor(start: Extract<HistoryRecord, { kind: "start" }>) {
    this.#document = start.document;
    this.#entries = [...start.entries];
    this.#position = start.position;
    this.#saved = { document: start.savedDocument ?? start.document, revision: start.revision };
    this.#states.set(0, start.document);
  }

  /** A history that begins with a state that is in the file. */
  static startingWith(document: NotebookDocument, revision: string): NotebookHistory {
    return new NotebookHistory({
      kind: "start",
      document,
      entries: [],
      position: 0,
      savedDocument: undefined,
      revision,
    });
  }

  /**
   * Tell a history again.
   * @throws Error when the records do not belong together
   */
  static replay(records: readonly HistoryRecord[]): NotebookHistory {
    const [start, ...rest] = records;
    if (start?.kind !== "start") throw new Error("the history has no beginning");
    const history = new NotebookHistory(start);
    for (const record of rest) history.#tell(record);
    return history;
  }

  get document(): NotebookDocument {
    return this.#document;
  }

  /** The state in the file, on which the next save is based. */
  get saved(): SavedState {
    return this.#saved;
  }

  /** The states since the last save, that one included: the file may hold any of them when an answer was lost. */
  get unconfirmed(): NotebookDocument[] {
    return [...this.#states.values()];
  }

  /** What undo would take back. */
  get undoable(): HistoryEntry | undefined {
    return this.#entries[this.#position - 1];
  }

  /** What redo would bring again. */
  get redoable(): HistoryEntry | undefined {
    return this.#entries[this.#position];
  }

  /** How many gestures can be undone. */
  get length(): number {
    return this.#position;
  }

  /** Note how another state of the notebook is looked at; undefined when that is as before. */
  look(after: NotebookDocument): HistoryRecord | undefined {
    const view = viewOf(after);
    if (sameValue(view, viewOf(this.#document))) return undefined;
    return this.#tell({ kind: "view", view }, sameWork(after, this.#document) ? after : undefined);
  }

  /** Note that the notebook is now another one; undefined when nothing differs. Call `look` before. */
  record(after: NotebookDocument, label: string, at: number): HistoryRecord | undefined {
    const step = stepBetween(this.#document, after);
    if (isEmptyStep(step)) return undefined;
    return this.#tell({ kind: "step", entry: { step, label, at } }, after);
  }

  undo(): HistoryRecord | undefined {
    return this.undoable && this.#tell({ kind: "undo" });
  }

  redo(): HistoryRecord | undefined {
    return this.redoable && this.#tell({ kind: "redo" });
  }

  /** Note that a state is in the file: one that this history has been in, or any other. */
  acknowledge(document: NotebookDocument, revision: string): HistoryRecord {
    for (const [number, state] of this.#states) {
      if (state === document) return this.#tell({ kind: "saved", after: number, revision });
    }
    return this.rebase(document, revision);
  }

  /** Note that the file holds a state of others, which has been looked at. */
  rebase(document: NotebookDocument, revision: string): HistoryRecord {
    return this.#tell(
      { kind: "base", step: stepBetween(this.#saved.document, document), revision },
      undefined,
      document,
    );
  }

  /** One record that says the same as all so far. Numbers start again from 0. */
  compact(): HistoryRecord {
    const { document, revision } = this.#saved;
    this.#number = 0;
    this.#states.clear();
    this.#states.set(0, this.#document);
    return {
      kind: "start",
      document: this.#document,
      entries: [...this.#entries],
      position: this.#position,
      savedDocument: document === this.#document ? undefined : document,
      revision,
    };
  }

  #tell(record: HistoryRecord, after?: NotebookDocument, base?: NotebookDocument): HistoryRecord {
    switch (record.kind) {
      case "start":
        throw new Error("the history begins twice");
      case "step":
        this.#document = after ?? takeStep(this.#document, record.entry.step);
        this.#entries.splice(this.#position, Number.POSITIVE_INFINITY, record.entry);
        this.#entries.splice(0, this.#entries.length - longestHistory);
        this.#position = this.#entries.length;
        break;
      case "view":
        this.#document = after ?? withView(this.#document, record.view);
        break;
      case "undo":
        if (!this.undoable) throw new Error("there is nothing to undo");
        this.#document = takeStepBack(this.#document, this.undoable.step);
        this.#position--;
        break;
      case "redo":
        if (!this.redoable) throw new Error("there is nothing to redo");
        this.#document = takeStep(this.#document, this.redoable.step);
        this.#position++;
        break;
      case "saved": {
        const document = this.#states.get(record.after);
        if (!document) throw new Error(`there is no state ${record.after}`);
        this.#saved = { document, revision: record.revision };
        for (const number of this.#states.keys()) if (number < record.after) this.#states.delete(number);
        break;
      }
      case "base":
        this.#saved = {
          document: base ?? takeStep(this.#saved.document, record.step),
          revision: record.revision,
        };
        break;
    }
    this.#number++;
    this.#states.set(this.#number, this.#document);
    return record;
  }
}
