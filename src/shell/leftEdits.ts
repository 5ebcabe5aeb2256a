import { NotebookHistory } from "../document/history.ts";
import type { NotebookDocument } from "../document/notebook.ts";
import { sameValue } from "../document/sameValue.ts";
import type { JournalKey, JournalStorage } from "./offlineJournal.ts";
import type { Service } from "./service.ts";
import type { TabPlace, Tabs } from "./tabs.ts";

/** Where edits may be left, and how to see that no window has them any more. */
interface Keeping {
  readonly journals: JournalStorage;
  readonly tabs: Tabs;
}

/** The history in a journal, as far as its records belong together; undefined when there is none. */
export async function recall(
  journals: JournalStorage,
  key: JournalKey,
): Promise<{ history: NotebookHistory; records: number | undefined } | undefined> {
  const records = await journals.read(key);
  for (let length = records.length; length > 0; length--) {
    try {
      const history = NotebookHistory.replay(records.slice(0, length));
      return { history, records: length === records.length ? length : undefined };
    } catch {
      // One record less.
    }
  }
  return undefined;
}

/** A history that no window has open any more; undefined when one has, or when nothing in it is unsaved. */
async function takeLeft(key: JournalKey, { journals, tabs }: Keeping): Promise<LeftEdits | undefined> {
  const place = await tabs.takeLeft(`${key.folder} ${key.name}`, key.slot);
  if (!place) return undefined; // open in another window, which tells about it itself
  const history = (await recall(journals, key))?.history;
  if (history && !sameValue(history.document, history.saved.document))
    return new LeftEdits(key, history, place, journals);
  await journals.remove(key);
  place.release();
  return undefined;
}

/** Unsaved edits that a window which was closed, or crashed, has left in this browser. */
export class LeftEdits {
  readonly #journals: JournalStorage;
  readonly #place: TabPlace;

  constructor(
    readonly key: JournalKey,
    readonly history: NotebookHistory,
    place: TabPlace,
    journals: JournalStorage,
  ) {
    this.#place = place;
    this.#journals = journals;
  }

  get document(): NotebookDocument {
    return this.history.document;
  }

  /** Let others look after them. */
  release(): void {
    this.#place.release();
  }

  /** They are not wanted any more. */
  async forget(): Promise<void> {
    await this.#journals.remove(this.key);
    this.release();
  }
}

/** What other windows have left of a notebook that is open at `own`. */
export async function leftBeside(own: JournalKey, keeping: Keeping): Promise<LeftEdits[]> {
  const left: LeftEdits[] = [];
  for (const key of await keeping.journals.list()) {
    if (key.folder !== own.folder || key.name !== own.name || key.slot === own.slot) continue;
    const edits = await takeLeft(key, keeping);
    if (edits) left.push(edits);
  }
  return left;
}

/**
 * Unsaved edits of notebooks that are not in the folder any more.
 * @param present names of the notebooks in the folder
 */
export async function lostEdits(
  present: ReadonlySet<string>,
  { service, ...keeping }: Keeping & { readonly service: Pick<Service, "session"> },
): Promise<LeftEdits[]> {
  const { folder } = await service.session();
  const lost: LeftEdits[] = [];
  for (const key of await keeping.journals.list()) {
    if (key.folder !== folder || present.has(key.name)) continue;
    const edits = await takeLeft(key, keeping);
    edits?.release();
    if (edits) lost.push(edits);
  }
  return lost;
}
