import { changeInWords, compareNotebooks } from "../document/compare.ts";
import type { HistoryRecord, NotebookHistory } from "../document/history.ts";
import type { NotebookDocument } from "../document/notebook.ts";
import { sameWork } from "../document/view.ts";
import type { DocumentChange, NotebookStore } from "./notebookStore.ts";
import type { JournalKey, JournalStorage } from "./offlineJournal.ts";

/** A drag that pauses this long is written down as far as it has come. */
const gestureMs = 2000;
/** Changes of one number that follow each other as fast as a held button makes them are one gesture. */
const heldMs = 250;
const longestJournal = 400;

interface HistoryKeeperOptions {
  readonly store: NotebookStore;
  readonly history: NotebookHistory;
  readonly journals: JournalStorage;
  readonly key: JournalKey;
  /** How many records the journal holds of this history; undefined when it is to be begun anew. */
  readonly records: number | undefined;
  /** Told after every change of the history. */
  readonly onChange: () => void;
  /** Told that the journal cannot be written. */
  readonly onTrouble: (error: Error) => void;
}

/**
 * Watches the open notebook, makes one step of each gesture, and writes every step to the journal at once. A gesture is
 * all that one drag does: it ends with the change that is not live, with a pause, or when something else is touched.
 */
export class HistoryKeeper {
  readonly #options: HistoryKeeperOptions;
  readonly history: NotebookHistory;
  #records = 0;
  /** The journal is written in turn. */
  #writing: Promise<void> = Promise.resolve();
  #gesture: { latest: NotebookDocument; touched: ReadonlySet<string> } | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  /** What the last step changed, and when, for buttons and keys that are held. */
  #last: { setting: string; at: number } | undefined;
  /** True while this keeper itself puts a state in place. */
  #placing = false;
  readonly #listen = (event: Event) => this.#changed((event as CustomEvent<DocumentChange>).detail);

  constructor(options: HistoryKeeperOptions) {
    this.#options = options;
    this.history = options.history;
    options.store.addEventListener("document", this.#listen);
    // While there are unsaved edits the journal goes on: the states on the way tell what the file may hold.
    if (options.records === undefined || !this.isUnsaved) this.#restart();
    else this.#records = options.records;
  }

  /** What undo would take back, in words; undefined when there is nothing. */
  get undoLabel(): string | undefined {
    return this.#gesture ? "the last change" : this.history.undoable?.label;
  }

  /** What redo would bring again, in words. */
  get redoLabel(): string | undefined {
    return this.#gesture ? undefined : this.history.redoable?.label;
  }

  #changed({ document, live }: DocumentChange): void {
    if (this.#placing) return;
    this.#look(document);
    if (sameWork(document, this.#gesture?.latest ?? this.history.document)) {
      this.#options.onChange();
      return;
    }
    const touched = touchedBy(this.#gesture?.latest ?? this.history.document, document);
    if (this.#gesture && touched.size > 0 && ![...touched].some((id) => this.#gesture?.touched.has(id)))
      this.commit();
    if (!live) {
      const setting = this.#gesture ? undefined : settingOf(this.history.document, document);
      this.#gesture = undefined;
      if (setting && setting === this.#last?.setting && performance.now() - this.#last.at < heldMs)
        this.#takeBackLast();
      this.#record(document);
      this.#last = setting ? { setting, at: performance.now() } : undefined;
      return;
    }
    this.#gesture = { latest: document, touched: new Set([...(this.#gesture?.touched ?? []), ...touched]) };
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.commit(), gestureMs);
    this.#options.onChange();
  }

  /** End the gesture under way, if there is one. */
  commit(told = true): void {
    clearTimeout(this.#timer);
    const gesture = this.#gesture;
    this.#gesture = undefined;
    if (gesture) this.#record(gesture.latest, undefined, told);
  }

  /** How the notebook is looked at is kept, and is no step. */
  #look(document: NotebookDocument): void {
    const record = this.history.look(document);
    if (record) this.#write(record);
  }

  /** Makes room for a step that covers the last one as well. */
  #takeBackLast(): void {
    const record = this.history.undo();
    if (record) this.#write(record);
  }

  #record(document: NotebookDocument, label?: string, told = true): void {
    clearTimeout(this.#timer);
    this.#last = undefined;
    this.#look(document);
    const words = label ?? changeInWords(this.history.document, document);
    const record = this.history.record(document, words, Date.now());
    if (record) this.#write(record);
    if (told) this.#options.onChange();
  }

  /**
   * Put another state in place as one step, e.g. a restored revision.
   * @param told whether `onChange` is told
   */
  place(document: NotebookDocument, label: string, told = true): void {
    this.commit(told);
    this.#put(document);
    this.#record(document, label, told);
  }

  /** @returns what was undone, in words, or undefined */
  undo(): string | undefined {
    this.commit();
    return this.#travel(this.history.undo(), this.history.redoable?.label);
  }

  /** @returns what was done again, in words, or undefined */
  redo(): string | undefined {
    this.commit();
    return this.#travel(this.history.redo(), this.history.undoable?.label);
  }

  #travel(record: HistoryRecord | undefined, label: string | undefined): string | undefined {
    this.#last = undefined;
    if (!record) return undefined;
    this.#put(this.history.document);
    this.#write(record);
    this.#options.onChange();
    return label;
  }

  #put(document: NotebookDocument): void {
    this.#placing = true;
    try {
      this.#options.store.replace(document);
    } finally {
      this.#placing = false;
    }
  }

  /** Note that a state is in the file. */
  acknowledge(document: NotebookDocument, revision: string): void {
    this.#write(this.history.acknowledge(document, revision));
    const isClean = this.history.saved.document === this.history.document;
    if (isClean && this.#records > longestJournal) this.#restart();
  }

  /** Note that the file holds a state of others, which has been looked at. */
  rebase(document: NotebookDocument, revision: string): void {
    this.#write(this.history.rebase(document, revision));
  }

  /** True while there are edits that are not in the file. */
  get isUnsaved(): boolean {
    return this.#gesture !== undefined || this.history.saved.document !== this.history.document;
  }

  /** Begin the journal anew with one record: at the opening, and when it has become long. */
  #restart(): void {
    const record = this.history.compact();
    const unsaved = this.isUnsaved;
    this.#records = 1;
    this.#later(() => this.#options.journals.restart(this.#options.key, record, unsaved));
  }

  #write(record: HistoryRecord): void {
    const number = this.#records++;
    const unsaved = this.isUnsaved;
    this.#later(() => this.#options.journals.append(this.#options.key, number, record, unsaved));
  }

  #later(write: () => Promise<void>): void {
    this.#writing = this.#writing.then(write).catch((error) => this.#options.onTrouble(error));
  }

  /** Resolves when the journal has everything so far. */
  written(): Promise<void> {
    return this.#writing;
  }

  /** Take the journal along when the notebook gets another name. */
  async move(to: JournalKey): Promise<void> {
    await this.#writing;
    await this.#options.journals.move(this.#options.key, to);
  }

  /** Forget the journal, when nothing in it is wanted any more. */
  async forget(): Promise<void> {
    await this.#writing;
    await this.#options.journals.remove(this.#options.key);
  }

  end(): void {
    this.commit();
    this.#options.store.removeEventListener("document", this.#listen);
  }
}

/** Ids of the cells that differ; the empty text stands for the title of the notebook. */
function touchedBy(before: NotebookDocument, after: NotebookDocument): Set<string> {
  const { title, cells } = compareNotebooks(before, after);
  return new Set([...(title ? [""] : []), ...cells.map(({ id }) => id)]);
}

/** Names the settings of the one cell that differ; undefined when anything else does. */
function settingOf(before: NotebookDocument, after: NotebookDocument): string | undefined {
  const { title, cells } = compareNotebooks(before, after);
  if (title || cells.length !== 1 || cells[0].change !== "changed") return undefined;
  const { id, fields } = cells[0];
  const parameters = after.cells.find((cell) => cell.id === id)?.parameters ?? {};
  // Only plain numbers have a button to hold; a table or a list changes by steps of its own, however fast.
  if (fields.some(({ part, name }) => part !== "parameter" || typeof parameters[name] !== "number"))
    return undefined;
  return [id, ...fields.map(({ name }) => name).sort()].join(" ");
}
