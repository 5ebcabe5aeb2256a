import { type IDBPDatabase, type IDBPTransaction, openDB } from "idb";
import type { HistoryRecord } from "../document/history.ts";

/** Whose journal it is: one for each notebook of each folder, and one more for each further window on it. */
export interface JournalKey {
  readonly folder: string;
  readonly name: string;
  readonly slot: number;
}

/** A journal as a whole. */
interface JournalEntry extends JournalKey {
  /** True while it holds edits that are not in the file. */
  readonly unsaved: boolean;
  /** Time of the last record, ms since 1970. */
  readonly changed: number;
}

/**
 * Keeps the records of histories in the browser, so that undo survives a reload, and edits made while the server is
 * away survive the window.
 */
export interface JournalStorage {
  /** False where the browser keeps nothing and the records live in this window only. */
  readonly lasting: boolean;
  list(): Promise<JournalEntry[]>;
  read(key: JournalKey): Promise<HistoryRecord[]>;
  append(key: JournalKey, number: number, record: HistoryRecord, unsaved: boolean): Promise<void>;
  /** Put one record in the place of all. */
  restart(key: JournalKey, record: HistoryRecord, unsaved: boolean): Promise<void>;
  move(key: JournalKey, to: JournalKey): Promise<void>;
  remove(key: JournalKey): Promise<void>;
}

const idOf = ({ folder, name, slot }: JournalKey) => JSON.stringify([folder, name, slot]);
const all = (id: string) => IDBKeyRange.bound([id, 0], [id, Number.POSITIVE_INFINITY]);

let opened: Promise<JournalStorage> | undefined;

/** The journals of this browser, or of this window alone where the browser keeps nothing. */
export function openJournals(): Promise<JournalStorage> {
  opened ??= openDatabase();
  return opened;
}

async function openDatabase(): Promise<JournalStorage> {
  try {
    const database = await openDB("bole", 1, {
      upgrade(fresh) {
        fresh.createObjectStore("journals");
        fresh.createObjectStore("records");
      },
      blocking: (_, __, event) => (event.target as IDBDatabase).close(),
    });
    return journalsIn(database);
  } catch {
    return journalsInMemory();
  }
}

function journalsIn(database: IDBPDatabase): JournalStorage {
  const write = () => database.transaction(["journals", "records"], "readwrite", { durability: "strict" });
  return {
    lasting: true,
    list: () => database.getAll("journals"),
    read: (key) => database.getAll("records", all(idOf(key))),
    async append(key, number, record, unsaved) {
      const transaction = write();
      void transaction.objectStore("records").put(record, [idOf(key), number]);
      void transaction.objectStore("journals").put(entryOf(key, unsaved), idOf(key));
      await finished(transaction);
    },
    async restart(key, record, unsaved) {
      const transaction = write();
      const records = transaction.objectStore("records");
      void records.delete(all(idOf(key)));
      void records.put(record, [idOf(key), 0]);
      void transaction.objectStore("journals").put(entryOf(key, unsaved), idOf(key));
      await finished(transaction);
    },
    async move(key, to) {
      const transaction = write();
      const records = transaction.objectStore("records");
      const journals = transaction.objectStore("journals");
      const found = (await records.getAll(all(idOf(key)))) as HistoryRecord[];
      const entry = (await journals.get(idOf(key))) as JournalEntry | undefined;
      void records.delete(all(idOf(key)));
      void records.delete(all(idOf(to)));
      void journals.delete(idOf(key));
      found.forEach((record, number) => void records.put(record, [idOf(to), number]));
      if (entry) void journals.put({ ...entry, ...to }, idOf(to));
      await finished(transaction);
    },
    async remove(key) {
      const transaction = write();
      void transaction.objectStore("records").delete(all(idOf(key)));
      void transaction.objectStore("journals").delete(idOf(key));
      await finished(transaction);
    },
  };
}

/**
 * Ends a transaction whose requests have all been made. Left open until they are answered, one of a page that is being
 * left can stay open in a browser that keeps the page as it is, and whoever reads next waits for it without end.
 */
function finished(transaction: IDBPTransaction<unknown, string[], "readwrite">): Promise<void> {
  transaction.commit();
  return transaction.done;
}

function entryOf({ folder, name, slot }: JournalKey, unsaved: boolean): JournalEntry {
  return { folder, name, slot, unsaved, changed: Date.now() };
}

/** Journals that end with the window; also for tests. */
export function journalsInMemory(): JournalStorage {
  const journals = new Map<string, { entry: JournalEntry; records: HistoryRecord[] }>();
  return {
    lasting: false,
    list: async () => [...journals.values()].map(({ entry }) => entry),
    read: async (key) => structuredClone(journals.get(idOf(key))?.records ?? []),
    async append(key, number, record, unsaved) {
      const records = journals.get(idOf(key))?.records ?? [];
      records[number] = structuredClone(record);
      journals.set(idOf(key), { entry: entryOf(key, unsaved), records });
    },
    async restart(key, record, unsaved) {
      journals.set(idOf(key), { entry: entryOf(key, unsaved), records: [structuredClone(record)] });
    },
    async move(key, to) {
      const found = journals.get(idOf(key));
      journals.delete(idOf(key));
      if (found) journals.set(idOf(to), { ...found, entry: { ...found.entry, ...to } });
    },
    async remove(key) {
      journals.delete(idOf(key));
    },
  };
}
