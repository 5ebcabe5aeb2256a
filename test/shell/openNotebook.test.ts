import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { emptyNotebook, type NotebookDocument } from "../../src/document/notebook.ts";
import * as operations from "../../src/document/operations.ts";
import type { JournalStorage } from "../../src/shell/offlineJournal.ts";
import { journalsInMemory } from "../../src/shell/offlineJournal.ts";
import { OpenNotebook } from "../../src/shell/openNotebook.ts";
import { MemoryServer, memoryTabs } from "./memoryServer.ts";

const cell = (id: string, x = 0) => ({ id, kind: "note", title: `Cell ${id}`, parameters: { x }, inputs: {} });
const notebook = (...ids: string[]): NotebookDocument => ({
  ...emptyNotebook("Test"),
  cells: ids.map((id) => cell(id)),
});
const values = (document: NotebookDocument) =>
  Object.fromEntries(document.cells.map(({ id, parameters }) => [id, parameters.x]));

class Desk {
  readonly server = new MemoryServer();
  readonly journals: JournalStorage = journalsInMemory();
  readonly tabs = memoryTabs();
  #windows = 0;

  constructor(document = notebook("a", "b")) {
    this.server.put("n", document);
  }

  async open(): Promise<OpenNotebook> {
    return OpenNotebook.open("n", {
      registry: new Map(),
      run: async () => {
        throw new Error("no tasks here");
      },
      service: this.server.service(`window ${this.#windows++}`),
      journals: this.journals,
      tabs: this.tabs,
      listen: this.server.listen,
    });
  }
}

/** Let saves, news and merges run their course. */
const pause = () => vi.advanceTimersByTimeAsync(1500);

describe("an open notebook", () => {
  beforeEach(() => void vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] }));
  afterEach(() => void vi.useRealTimers());

  test("saves what is done, undone and done again", async () => {
    const { server, ...desk } = new Desk();
    const open = await Desk.prototype.open.call(Object.assign(new Desk(), { server, ...desk }));
    open.store.set("a", { x: 1 });
    await pause();
    expect(values(server.document("n"))).toEqual({ a: 1, b: 0 });
    expect(open.undo()).toBe("settings of “Cell a”");
    await pause();
    expect(values(server.document("n"))).toEqual({ a: 0, b: 0 });
    expect(open.redo()).toBe("settings of “Cell a”");
    await pause();
    expect(values(server.document("n"))).toEqual({ a: 1, b: 0 });
    expect(open.redo()).toBeUndefined();
  });
});
