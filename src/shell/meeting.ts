import { changeInWords } from "../document/compare.ts";
import { type Merge, type MergeChoices, mergeNotebooks } from "../document/merge.ts";
import { type NotebookDocument, parseNotebook } from "../document/notebook.ts";
import { sameValue } from "../document/sameValue.ts";
import { messageOf } from "../graph/messageOf.ts";
import type { HistoryKeeper } from "./historyKeeper.ts";
import type { LeftEdits } from "./leftEdits.ts";
import type { NotebookStore } from "./notebookStore.ts";
import type { Saver } from "./saver.ts";
import type { Service } from "./service.ts";

/** A state of others that a person has to bring together with the one shown. */
interface Conflict {
  /** The state that both came from. */
  readonly base: NotebookDocument;
  readonly theirs: NotebookDocument;
  /** Revision of theirs; undefined for edits that a closed window has left in the browser. */
  readonly revision: string | undefined;
  readonly merge: Merge;
}

interface MeetingOptions {
  readonly store: NotebookStore;
  readonly keeper: HistoryKeeper;
  readonly saver: Saver;
  readonly service: Pick<Service, "create">;
  /** Told what a person should know. */
  readonly onNotice: (text: string) => void;
}

const fromElsewhere = "changes from elsewhere";
const fromClosedWindow = "edits kept from a window that was closed";

/** Brings what others did to a notebook, in its file or in windows that were closed, together with what is shown. */
export class Meeting {
  readonly #options: MeetingOptions;
  /** Edits that closed windows have left; looked at one by one. */
  #left: LeftEdits[] = [];
  conflict: Conflict | undefined;
  /** The file holds something that is no notebook: why, and its revision. */
  unreadable: { readonly reason: string; readonly revision: string } | undefined;

  constructor(options: MeetingOptions) {
    this.#options = options;
  }

  get #ours(): NotebookDocument {
    return this.#options.store.document;
  }

  /** Look at a state that stands in the file and is not ours. */
  meet(text: string, revision: string): void {
    const { keeper, saver } = this.#options;
    keeper.commit();
    let theirs: NotebookDocument;
    try {
      theirs = parseNotebook(text);
    } catch (error) {
      this.unreadable = { reason: messageOf(error), revision };
      saver.hold({
        kind: "conflict",
        reason: "The file was changed elsewhere and cannot be read any more",
      });
      return;
    }
    this.unreadable = undefined;
    const base = keeper.history.saved.document;
    const merge = this.#bringTogether({ base, theirs, revision });
    if (isSettled(merge)) this.#takeIn(merge, theirs, revision);
    else {
      this.conflict = { base, theirs, revision, merge };
      saver.hold({ kind: "conflict", reason: "The notebook was changed elsewhere" });
    }
  }

  /** Whether a state in the file has been looked at and waits for a person. */
  isMet(revision: string): boolean {
    return this.conflict?.revision === revision || this.unreadable?.revision === revision;
  }

  /** What is ours has changed since the conflict was found, so that it may look different, or be none any more. */
  meetAgain(): void {
    const { conflict } = this;
    if (!conflict) return;
    const merge = this.#bringTogether(conflict);
    if (!isSettled(merge) || conflict.revision === undefined) this.conflict = { ...conflict, merge };
    else this.#takeIn(merge, conflict.theirs, conflict.revision);
  }

  /** Take up edits that closed windows have left. */
  takeUp(left: LeftEdits[]): void {
    this.#left = left;
    this.#nextLeft();
  }

  #bringTogether({ base, theirs, revision }: Omit<Conflict, "merge">, choices?: MergeChoices): Merge {
    const pasts =
      revision === undefined
        ? { theirs: this.#left[0]?.history.unconfirmed }
        : { ours: this.#options.keeper.history.unconfirmed };
    return mergeNotebooks(base, this.#ours, theirs, choices, pasts);
  }

  #takeIn({ document }: Merge, theirs: NotebookDocument, revision: string): void {
    const { keeper, saver, onNotice } = this.#options;
    this.conflict = undefined;
    const before = this.#ours;
    if (!sameValue(document, before)) {
      keeper.place(document, fromElsewhere, false);
      onNotice(`Changed elsewhere and taken in here: ${changeInWords(before, document)}.`);
    }
    keeper.rebase(theirs, revision);
    const isTheirs = sameValue(document, theirs);
    if (isTheirs) keeper.acknowledge(this.#ours, revision);
    saver.rebase(revision, isTheirs ? undefined : this.#ours);
    this.#nextLeft();
  }

  #nextLeft(): void {
    const { keeper, saver, onNotice } = this.#options;
    while (this.#left.length > 0 && !this.conflict) {
      const { history } = this.#left[0];
      const met = { base: history.saved.document, theirs: history.document, revision: undefined };
      const merge = this.#bringTogether(met);
      if (!isSettled(merge)) {
        this.conflict = { ...met, merge };
        saver.hold({ kind: "conflict", reason: "A window that was closed has left other edits" });
        return;
      }
      if (!sameValue(merge.document, this.#ours)) {
        keeper.place(merge.document, fromClosedWindow, false);
        saver.want(this.#ours);
        onNotice("Edits of a window that was closed before they were saved are back.");
      }
      void this.#forgetLeft();
    }
  }

  async #forgetLeft(): Promise<void> {
    const left = this.#left.shift();
    // Not before our own journal holds what was taken over.
    await this.#options.keeper.written();
    await left?.forget();
  }

  /** Settle the conflict cell by cell. What was not chosen stays as ours. */
  settle(choices: MergeChoices): void {
    const { keeper, saver } = this.#options;
    const { conflict } = this;
    if (!conflict) return;
    keeper.commit();
    const { theirs, revision } = conflict;
    const { document } = this.#bringTogether(conflict, choices);
    this.conflict = undefined;
    if (!sameValue(document, this.#ours))
      keeper.place(document, revision ? fromElsewhere : fromClosedWindow, false);
    if (revision) keeper.rebase(theirs, revision);
    else void this.#forgetLeft();
    saver.rebase(revision ?? saver.revision, this.#ours);
    this.#nextLeft();
  }

  /**
   * Settle the conflict by keeping both states as notebooks of their own: this one becomes theirs.
   * @returns name of the second notebook; undefined when there is no conflict
   * @throws ServiceError, AwayError when the second notebook cannot be made; nothing has changed then
   */
  async keepBoth(): Promise<string | undefined> {
    const { keeper, saver, service } = this.#options;
    const { conflict } = this;
    if (!conflict) return undefined;
    keeper.commit();
    const other = conflict.revision ? this.#ours : conflict.theirs;
    const title = `${other.title.slice(0, 180)} (other version)`;
    const { name } = await service.create({ ...other, title });
    this.conflict = undefined;
    if (conflict.revision) {
      keeper.place(conflict.theirs, fromElsewhere, false);
      keeper.rebase(conflict.theirs, conflict.revision);
      keeper.acknowledge(this.#ours, conflict.revision);
      saver.rebase(conflict.revision, undefined);
    } else {
      await this.#forgetLeft();
      saver.rebase(saver.revision, keeper.isUnsaved ? this.#ours : undefined);
    }
    return name;
  }

  /** Write the state shown over a file that cannot be read; the file's text stays among the revisions. */
  writeOver(): void {
    const { unreadable } = this;
    this.unreadable = undefined;
    if (unreadable) this.#options.saver.rebase(unreadable.revision, this.#ours);
  }

  /** Leave what was not taken up to others. */
  end(): void {
    for (const left of this.#left) left.release();
  }
}

function isSettled({ conflicts, titleConflict }: Merge): boolean {
  return conflicts.length === 0 && !titleConflict;
}
