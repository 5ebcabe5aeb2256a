import { NotebookHistory } from "../document/history.ts";
import type { MergeChoices } from "../document/merge.ts";
import { type NotebookDocument, parseNotebook } from "../document/notebook.ts";
import type { NotebookChange } from "../document/served.ts";
import type { Apart } from "../graph/apart.ts";
import type { Registry } from "../graph/defineCell.ts";
import type { RunTask } from "../tasks/longTask.ts";
import { HistoryKeeper } from "./historyKeeper.ts";
import { leftBeside, recall } from "./leftEdits.ts";
import { Meeting } from "./meeting.ts";
import { NotebookStore } from "./notebookStore.ts";
import type { JournalKey, JournalStorage } from "./offlineJournal.ts";
import { Saver, type SaveState } from "./saver.ts";
import { clientName, type Service } from "./service.ts";
import type { ServerNews } from "./serviceEvents.ts";
import type { TabPlace, Tabs } from "./tabs.ts";

interface OpenOptions {
  readonly registry: Registry;
  /** Loads the kinds of cell that a notebook uses, before it is computed. */
  readonly need?: (kinds: readonly string[]) => Promise<void>;
  readonly run: RunTask;
  /** Where cells are computed that have no checked bound on their steps. */
  readonly apart?: Apart;
  readonly service: Service;
  readonly journals: JournalStorage;
  readonly tabs: Tabs;
  readonly listen: (tell: (news: ServerNews) => void) => () => void;
  /** Told that the library has changed. */
  readonly onLibrary?: () => void;
  /** Told that the ledger of panels has changed. */
  readonly onLedger?: () => void;
}

/**
 * One open notebook with everything that keeps it: history, journal, saving, and what others do to it meanwhile.
 * Events: `change` (anything that is shown around the cells), `kept-both` (CustomEvent<{name}>: our state now has a
 * notebook of its own).
 */
export class OpenNotebook extends EventTarget {
  readonly name: string;
  readonly store: NotebookStore;
  readonly #options: OpenOptions;
  readonly #key: JournalKey;
  readonly #place: TabPlace;
  readonly #keeper: HistoryKeeper;
  readonly #saver: Saver;
  readonly #stops: (() => void)[] = [];
  readonly #meeting: Meeting;
  #ended = false;
  #looking: Promise<void> = Promise.resolve();
  /** How many other windows have this notebook open. */
  others = 0;
  /** Something a person should know, until it is closed. */
  notice = "";

  private constructor(
    name: string,
    options: OpenOptions,
    key: JournalKey,
    place: TabPlace,
    history: NotebookHistory,
    records: number | undefined,
  ) {
    super();
    this.name = name;
    this.#options = options;
    this.#key = key;
    this.#place = place;
    this.store = new NotebookStore(options.registry, history.document, options.run, options.apart);
    this.#keeper = new HistoryKeeper({
      store: this.store,
      history,
      journals: options.journals,
      key,
      records,
      onChange: () => this.#edited(),
      onTrouble: (error) => this.#tell(`This browser does not keep what you do here: ${error.message}`),
    });
    this.#saver = new Saver({
      service: options.service,
      name,
      revision: history.saved.revision,
      onState: () => this.#changed(),
      onSaved: (document, revision) => this.#keeper.acknowledge(document, revision),
      onConflict: (text, revision) => this.#meeting.meet(text, revision),
    });
    this.#meeting = new Meeting({
      store: this.store,
      keeper: this.#keeper,
      saver: this.#saver,
      service: options.service,
      onNotice: (text) => (this.notice = text),
    });
  }

  /**
   * Open a notebook: the state in the file, brought together with edits that this browser still holds.
   * @throws ServiceError, NotebookFormatError when it cannot be opened
   */
  static async open(name: string, options: OpenOptions): Promise<OpenNotebook> {
    const { folder } = await options.service.session();
    const stored = await options.service.open(name);
    const document = parseNotebook(stored.text);
    const place = await options.tabs.take(`${folder} ${stored.name}`);
    const key = { folder, name: stored.name, slot: place.slot };
    try {
      const kept = await recall(options.journals, key);
      const history = kept?.history ?? NotebookHistory.startingWith(document, stored.revision);
      await options.need?.([...document.cells, ...history.document.cells].map(({ kind }) => kind));
      const open = new OpenNotebook(stored.name, options, key, place, history, kept?.records);
      if (history.saved.revision !== stored.revision) open.#meeting.meet(stored.text, stored.revision);
      if (open.#keeper.isUnsaved && !open.conflict) open.#saver.want(open.store.document);
      open.#meeting.takeUp(await leftBeside(key, options));
      open.#stops.push(
        options.listen((news) => open.#hear(news)),
        options.tabs.announce(`${folder} ${stored.name}`, (others) => open.#meetWindows(others)),
      );
      return open;
    } catch (error) {
      place.release();
      throw error;
    }
  }

  get saveState(): SaveState {
    return this.#saver.state;
  }

  /** False where edits that are not in the file would be lost with the window. */
  get isKept(): boolean {
    return this.#options.journals.lasting;
  }

  /** True while there are edits that are not in the file. */
  get isUnsaved(): boolean {
    return this.#keeper.isUnsaved;
  }

  /** Revision of the state in the file. */
  get savedRevision(): string {
    return this.#saver.revision;
  }

  get undoLabel(): string | undefined {
    return this.#keeper.undoLabel;
  }

  get redoLabel(): string | undefined {
    return this.#keeper.redoLabel;
  }

  undo(): string | undefined {
    return this.#keeper.undo();
  }

  redo(): string | undefined {
    return this.#keeper.redo();
  }

  /** Put another state in place as one step that can be undone. */
  place(document: NotebookDocument, label: string): void {
    this.#keeper.place(document, label);
  }

  #edited(): void {
    const { document, saved } = this.#keeper.history;
    if (document !== saved.document || this.saveState.kind !== "saved") this.#saver.want(document);
    this.#meeting.meetAgain();
    this.#changed();
  }

  #changed(): void {
    this.dispatchEvent(new Event("change"));
  }

  #tell(text: string): void {
    this.notice = text;
    this.#changed();
  }

  /** A state of others that a person has to bring together with the one shown. */
  get conflict() {
    return this.#meeting.conflict;
  }

  /** The file holds something that is no notebook: why, and its revision. */
  get unreadable() {
    return this.#meeting.unreadable;
  }

  /** Settle the conflict cell by cell. What was not chosen stays as ours. */
  settle(choices: MergeChoices): void {
    this.#meeting.settle(choices);
    this.#changed();
  }

  /**
   * Settle the conflict by keeping both states as notebooks of their own: this one becomes theirs.
   * @throws ServiceError, AwayError when the second notebook cannot be made; nothing has changed then
   */
  async keepBoth(): Promise<void> {
    const name = await this.#meeting.keepBoth();
    if (name === undefined) return;
    this.#changed();
    this.dispatchEvent(new CustomEvent("kept-both", { detail: { name } }));
  }

  /** Write the state shown over a file that cannot be read; the file's text stays among the revisions. */
  writeOver(): void {
    this.#meeting.writeOver();
  }

  /**
   * Save under the name again after the file was moved away, or in the folder that the server now serves.
   * @throws ServiceError, AwayError when that cannot be done
   */
  async saveAnew(): Promise<void> {
    this.#keeper.commit();
    const { document } = this.store;
    const { revision } = await this.#options.service.create(document, this.name);
    this.#keeper.acknowledge(document, revision);
    this.#saver.rebase(revision, this.store.document === document ? undefined : this.store.document);
  }

  retry(): void {
    this.#saver.retry();
  }

  /**
   * Write down and send what waits.
   * @param leaving the page is being left
   */
  async flush(leaving = false): Promise<void> {
    this.#keeper.commit();
    await this.#saver.flush(leaving);
    await this.#keeper.written();
  }

  /** Give the notebook another name, its journal included. */
  async rename(to: string): Promise<string> {
    await this.flush();
    const { name } = await this.#options.service.rename(this.name, to);
    this.#saver.end();
    await this.#keeper.move({ ...this.#key, name, slot: 0 });
    return name;
  }

  /** The notebook was deleted from here: nothing of it is to be saved any more. */
  async discard(): Promise<void> {
    this.#saver.end();
    await this.#keeper.forget();
  }

  #hear(news: ServerNews): void {
    if (this.#ended) return;
    if (news.kind === "there") {
      this.#saver.serverIsBack();
      void this.#lookAgain();
    } else if (news.kind === "notebook") void this.#hearOf(news.change);
    else if (news.kind === "library") this.#options.onLibrary?.();
    else if (news.kind === "ledger") this.#options.onLedger?.();
  }

  async #hearOf({ name, revision, client }: NotebookChange): Promise<void> {
    if (name !== this.name || client === clientName) return;
    if (revision === null)
      this.#saver.hold({ kind: "gone", reason: "The notebook was renamed or moved away elsewhere" });
    else await this.#lookAgain();
  }

  /** Read the file again, one reading after another: news may have been missed. */
  #lookAgain(): Promise<void> {
    this.#looking = this.#looking.then(() => this.#look());
    return this.#looking;
  }

  async #look(): Promise<void> {
    if (this.#ended) return;
    try {
      const stored = await this.#saver.between(() => this.#options.service.open(this.name));
      if (this.#ended) return;
      if (stored.revision === this.#saver.revision) {
        const wanted = this.isUnsaved ? this.store.document : undefined;
        if (this.saveState.kind === "gone") this.#saver.rebase(stored.revision, wanted);
        return;
      }
      if (!this.#meeting.isMet(stored.revision)) this.#meeting.meet(stored.text, stored.revision);
    } catch {
      // The next save tells how it stands.
    }
  }

  #meetWindows(others: number): void {
    if (this.others === 0 && others > 0 && !this.notice) {
      this.notice =
        "This notebook is also open in another window. What is changed there appears here; " +
        "when both change the same cell, you are asked.";
    }
    this.others = others;
    this.#changed();
  }

  /** Close: nothing more is saved or heard. Call `flush` first. */
  end(): void {
    if (this.#ended) return;
    this.#ended = true;
    for (const stop of this.#stops) stop();
    this.#keeper.end();
    this.#saver.end();
    this.store.dispose();
    this.#meeting.end();
    this.#place.release();
  }
}
