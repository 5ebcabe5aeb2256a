import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import type { CellChoice } from "../../src/document/merge.ts";
import { emptyNotebook, type NotebookDocument } from "../../src/document/notebook.ts";
import * as operations from "../../src/document/operations.ts";
import { type JournalStorage, journalsInMemory } from "../../src/shell/offlineJournal.ts";
import { OpenNotebook } from "../../src/shell/openNotebook.ts";
import { MemoryServer, memoryTabs } from "./memoryServer.ts";

const cell = (id: string, x = 0) => ({
  id,
  kind: "note",
  title: `Cell ${id}`,
  parameters: { x },
  inputs: {},
});
const notebook = (...ids: string[]): NotebookDocument => ({
  ...emptyNotebook("Test"),
  cells: ids.map((id) => cell(id)),
});
const values = (document: NotebookDocument) =>
  Object.fromEntries(document.cells.map(({ id, parameters }) => [id, parameters.x]));

/** A server, a browser, and windows of it on the notebook "n". */
class Desk {
  readonly server = new MemoryServer();
  readonly journals: JournalStorage = journalsInMemory();
  readonly tabs = memoryTabs();
  #windows = 0;

  constructor(document = notebook("a", "b")) {
    this.server.put("n", document);
  }

  async open(name = "n"): Promise<OpenNotebook> {
    return OpenNotebook.open(name, {
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

  /** Another program writes the file. */
  editOutside(edit: (document: NotebookDocument) => NotebookDocument): void {
    this.server.put("n", edit(this.server.document("n")));
    this.server.tell("n");
  }

  get values() {
    return values(this.server.document("n"));
  }
}

/** Let saves, news and merges run their course. */
const pause = () => vi.advanceTimersByTimeAsync(1500);

describe("an open notebook", () => {
  beforeEach(() => void vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout", "performance"] }));
  afterEach(() => void vi.useRealTimers());

  test("saves what is done, undone and done again", async () => {
    const desk = new Desk();
    const open = await desk.open();
    open.store.set("a", { x: 1 });
    await pause();
    expect(desk.values).toEqual({ a: 1, b: 0 });
    expect(open.undo()).toBe("settings of “Cell a”");
    await pause();
    expect(desk.values).toEqual({ a: 0, b: 0 });
    expect(open.redo()).toBe("settings of “Cell a”");
    await pause();
    expect(desk.values).toEqual({ a: 1, b: 0 });
    expect(open.redo()).toBeUndefined();
  });

  test("one drag is one step; a drag of something else is another", async () => {
    const open = await new Desk().open();
    for (let x = 1; x <= 30; x++) open.store.set("a", { x }, true);
    open.store.set("a", { x: 31 });
    for (let x = 1; x <= 30; x++) open.store.set("a", { x }, true);
    for (let x = 1; x <= 30; x++) open.store.set("b", { x }, true);
    expect(values(open.store.document)).toEqual({ a: 30, b: 30 });
    open.undo();
    expect(values(open.store.document)).toEqual({ a: 30, b: 0 });
    open.undo();
    expect(values(open.store.document)).toEqual({ a: 31, b: 0 });
    open.undo();
    expect(values(open.store.document)).toEqual({ a: 0, b: 0 });
    expect(open.undo()).toBeUndefined();
  });

  test("a button that is held is one step, two presses are two", async () => {
    const open = await new Desk().open();
    for (let x = 1; x <= 20; x++) {
      open.store.set("a", { x });
      await vi.advanceTimersByTimeAsync(80);
    }
    await vi.advanceTimersByTimeAsync(300);
    open.store.set("a", { x: 21 });
    open.store.set("b", { x: 1 });
    open.undo();
    expect(values(open.store.document)).toEqual({ a: 21, b: 0 });
    open.undo();
    expect(values(open.store.document)).toEqual({ a: 20, b: 0 });
    open.undo();
    expect(values(open.store.document)).toEqual({ a: 0, b: 0 });
    open.redo();
    expect(values(open.store.document)).toEqual({ a: 20, b: 0 });
  });

  test("a drag that is held still is saved as far as it has come", async () => {
    const desk = new Desk();
    const open = await desk.open();
    open.store.set("a", { x: 5 }, true);
    expect(open.isUnsaved).toBe(true);
    await vi.advanceTimersByTimeAsync(3000);
    expect(desk.values.a).toBe(5);
  });

  test("undo and redo survive a reload", async () => {
    const desk = new Desk();
    let open = await desk.open();
    for (const x of [1, 2, 3]) {
      open.store.set("a", { x });
      await vi.advanceTimersByTimeAsync(300);
    }
    open.store.rename("b", "Renamed");
    open.undo();
    await open.flush();
    open.end();
    open = await desk.open();
    expect(open.redoLabel).toBe("title of “Renamed”");
    open.redo();
    expect(open.store.cell("b")?.title).toBe("Renamed");
    for (let k = 0; k < 4; k++) open.undo();
    expect(open.store.document).toEqual(notebook("a", "b"));
    await pause();
    expect(desk.server.document("n")).toEqual(notebook("a", "b"));
  });

  test("what was done while the server was away is saved when it returns", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.server.mood = "away";
    open.store.set("a", { x: 1 });
    await pause();
    expect(open.saveState.kind).toBe("away");
    open.store.remove("b");
    await vi.advanceTimersByTimeAsync(120_000);
    expect(desk.values).toEqual({ a: 0, b: 0 });
    desk.server.comeBack();
    await pause();
    expect(desk.values).toEqual({ a: 1 });
    expect([open.saveState.kind, open.isUnsaved]).toEqual(["saved", false]);
  });

  test("and when the window crashed meanwhile, it is there when the notebook is opened again", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.server.mood = "away";
    open.store.set("a", { x: 7 });
    await pause();
    desk.tabs.crash();
    desk.server.mood = "there";
    desk.editOutside((document) => operations.setParameters(document, "b", { x: 9 }));
    const again = await desk.open();
    expect(values(again.store.document)).toEqual({ a: 7, b: 9 });
    await pause();
    expect(desk.values).toEqual({ a: 7, b: 9 });
    expect(again.notice).toMatch(/Changed elsewhere and taken in here: settings of “Cell b”/);
  });

  test("an edit by another program appears, and can be undone", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.editOutside((document) => operations.addCell(document, cell("c", 3)).document);
    await pause();
    expect(values(open.store.document)).toEqual({ a: 0, b: 0, c: 3 });
    expect([open.saveState.kind, open.undoLabel]).toEqual(["saved", "changes from elsewhere"]);
    expect(desk.server.saves).toBe(0);
    open.undo();
    await pause();
    expect(desk.values).toEqual({ a: 0, b: 0 });
  });

  test("of two windows the later one is told, and each gets what the other does", async () => {
    const desk = new Desk();
    const first = await desk.open();
    const second = await desk.open();
    expect(second.notice).toMatch(/also open in another window/);
    expect([first.others, second.others]).toEqual([1, 1]);
    first.store.set("a", { x: 1 });
    second.store.set("b", { x: 2 });
    await pause();
    await pause();
    for (const open of [first, second]) {
      expect(values(open.store.document)).toEqual({ a: 1, b: 2 });
      expect([open.saveState.kind, open.conflict]).toEqual(["saved", undefined]);
    }
    expect(desk.values).toEqual({ a: 1, b: 2 });
    second.end();
    expect(first.others).toBe(0);
  });

  /** Two windows that have both changed the cell "a". */
  async function conflicting() {
    const desk = new Desk();
    const [first, second] = [await desk.open(), await desk.open()];
    desk.server.mood = "away";
    first.store.set("a", { x: 1 });
    second.store.set("a", { x: 2 });
    second.store.set("b", { x: 5 });
    await first.flush();
    desk.server.mood = "there";
    await first.flush();
    await pause();
    await pause();
    return { desk, first, second };
  }

  test.each<[CellChoice, Record<string, number>]>([
    ["ours", { a: 2, b: 5 }],
    ["theirs", { a: 1, b: 5 }],
    ["both", { a: 2, "a-2": 1, b: 5 }],
  ])("a cell that both changed is asked about: %s", async (choice, expected) => {
    const { desk, second, first } = await conflicting();
    expect(desk.values).toEqual({ a: 1, b: 0 });
    expect(second.saveState.kind).toBe("conflict");
    expect(second.conflict?.merge.conflicts.map(({ id }) => id)).toEqual(["a"]);
    expect(values(second.store.document)).toEqual({ a: 2, b: 5 });
    second.settle({ cells: new Map([["a", choice]]) });
    await pause();
    await pause();
    expect(desk.values).toEqual(expected);
    expect(values(first.store.document)).toEqual(expected);
    expect([second.saveState.kind, second.conflict]).toEqual(["saved", undefined]);
    second.undo();
    await pause();
    if (choice !== "ours") expect(values(second.store.document)).toEqual({ a: 2, b: 5 });
  });

  test("or both states are kept as notebooks of their own", async () => {
    const { desk, second } = await conflicting();
    const told: string[] = [];
    second.addEventListener("kept-both", (event) =>
      told.push((event as CustomEvent<{ name: string }>).detail.name),
    );
    await second.keepBoth();
    await pause();
    expect(told).toHaveLength(1);
    expect(values(desk.server.document(told[0]))).toEqual({ a: 2, b: 5 });
    expect(desk.server.document(told[0]).title).toBe("Test (other version)");
    expect(desk.values).toEqual({ a: 1, b: 0 });
    expect(values(second.store.document)).toEqual({ a: 1, b: 0 });
    expect([second.saveState.kind, second.isUnsaved]).toEqual(["saved", false]);
  });

  test("a conflict that is undone here is none any more", async () => {
    const { desk, second } = await conflicting();
    second.undo();
    second.undo();
    await pause();
    expect([second.saveState.kind, second.conflict]).toEqual(["saved", undefined]);
    expect(desk.values).toEqual({ a: 1, b: 0 });
  });

  test("a conflict left open survives the window, with both sides whole", async () => {
    const { desk } = await conflicting();
    desk.tabs.crash();
    // The first window's journal is taken again; the second one's edits are found beside it.
    const again = await desk.open();
    expect(values(again.store.document).a).toBe(1);
    expect(again.conflict?.merge.conflicts).toMatchObject([
      { id: "a", ours: cell("a", 1), theirs: cell("a", 2) },
    ]);
    again.settle({ cells: new Map([["a", "both"]]) });
    await pause();
    expect(desk.values).toEqual({ a: 1, "a-2": 2, b: 5 });
    again.end();
    expect((await desk.open()).conflict).toBeUndefined();
  });

  test("a reading of the file that is older than a save undoes nothing", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.server.latency = () => 50;
    open.store.set("a", { x: 1 });
    await vi.advanceTimersByTimeAsync(380);
    desk.server.comeBack(); // the file is read while the save of the change begins
    await vi.advanceTimersByTimeAsync(2000);
    expect([desk.values.a, values(open.store.document).a]).toEqual([1, 1]);
  });

  test("of two readings of the file that overtake each other the older one undoes nothing", async () => {
    const desk = new Desk();
    const open = await desk.open();
    let ways = [10, 500, 10, 10];
    desk.server.latency = () => ways.shift() ?? 10;
    desk.editOutside((document) => operations.setParameters(document, "a", { x: 1 }));
    await vi.advanceTimersByTimeAsync(100); // read, but still on the way
    desk.editOutside((document) => operations.setParameters(document, "a", { x: 2 }));
    ways = [];
    await vi.advanceTimersByTimeAsync(3000);
    expect([desk.values.a, values(open.store.document).a]).toEqual([2, 2]);
  });

  test("a save that arrived although its window crashed is no conflict with what was done after it", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.server.mood = "answer lost";
    open.store.set("a", { x: 1 });
    await pause();
    open.store.set("a", { x: 2 });
    await vi.advanceTimersByTimeAsync(0);
    vi.clearAllTimers();
    desk.server.loseListeners();
    desk.tabs.crash();
    desk.server.mood = "there";
    expect(desk.values.a).toBe(1);
    const again = await desk.open();
    await pause();
    expect([again.conflict, desk.values.a]).toEqual([undefined, 2]);
  });

  test("a file that another program has broken is not taken in, and is written over only when told", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.server.files.set("n", '{"format": "bole-noteb');
    desk.server.tell("n");
    await pause();
    expect(open.unreadable?.reason).toMatch(/not valid JSON/);
    open.store.set("a", { x: 1 });
    await pause();
    expect(desk.server.files.get("n")).toBe('{"format": "bole-noteb');
    open.writeOver();
    await pause();
    expect(desk.values).toEqual({ a: 1, b: 0 });
    expect(open.saveState.kind).toBe("saved");
  });

  test("a notebook moved away elsewhere can be saved anew, or comes back by itself", async () => {
    const desk = new Desk();
    const open = await desk.open();
    const text = desk.server.files.get("n") ?? "";
    desk.server.files.delete("n");
    desk.server.tell("n");
    await pause();
    open.store.set("a", { x: 1 });
    await pause();
    expect([open.saveState.kind, desk.server.files.has("n")]).toEqual(["gone", false]);
    desk.server.files.set("n", text);
    desk.server.tell("n");
    await pause();
    expect([open.saveState.kind, desk.values.a]).toEqual(["saved", 1]);
    desk.server.files.delete("n");
    desk.server.tell("n");
    await pause();
    await open.saveAnew();
    expect([open.saveState.kind, desk.values.a]).toEqual(["saved", 1]);
  });

  test("the journal of another folder is not mixed in", async () => {
    const desk = new Desk();
    const open = await desk.open();
    desk.server.mood = "away";
    open.store.set("a", { x: 1 });
    await pause();
    desk.tabs.crash();
    desk.server.mood = "there";
    desk.server.folder = "/others";
    expect(values((await desk.open()).store.document)).toEqual({ a: 0, b: 0 });
    desk.server.folder = "/notebooks";
    expect(values((await desk.open()).store.document)).toEqual({ a: 1, b: 0 });
  });
});

test("no edit is lost, whatever happens to server and windows", { timeout: 60_000 }, async () => {
  // Each window changes a cell of its own, so that whatever it did last has to be in the file in the end.
  type Happening = {
    what: "edit" | "drag" | "crash" | "reload" | "mood" | "outside" | "wait";
    who: number;
    x: number;
  };
  const happening: fc.Arbitrary<Happening> = fc.record({
    what: fc.constantFrom("edit", "edit", "drag", "crash", "reload", "mood", "outside", "wait"),
    who: fc.nat(1),
    x: fc.nat(1000),
  });
  let edits = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(happening, { minLength: 5, maxLength: 25 }), async (happenings) => {
      vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout", "performance"] });
      try {
        const desk = new Desk(notebook("w0", "w1", "outside"));
        let step = 0;
        const latency = () => (step = (step * 37 + 11) % 151);
        const last: Record<string, number> = { w0: 0, w1: 0, outside: 0 };
        let windows = [await desk.open(), await desk.open()];
        desk.server.latency = latency;
        const reopen = async () => {
          desk.server.mood = "there";
          desk.server.latency = () => 0;
          windows = [await desk.open(), await desk.open()];
          // The first one takes up what a crashed window has left; an edit before that arrives would be a conflict.
          await vi.advanceTimersByTimeAsync(3000);
          desk.server.latency = latency;
        };
        for (const { what, who, x } of happenings) {
          const own = `w${who}`;
          if (what === "edit" || what === "drag") {
            // Never a value that was there before: setting back what others have not seen is no edit to them.
            last[own] = ++edits;
            if (what === "drag") windows[who].store.set(own, { x: -edits }, true);
            windows[who].store.set(own, { x: edits });
          } else if (what === "crash") {
            // Nothing is flushed and no timer runs any more; the journal has what was written to it.
            await vi.advanceTimersByTimeAsync(0);
            vi.clearAllTimers();
            desk.server.loseListeners();
            desk.tabs.crash();
            await reopen();
          } else if (what === "reload") {
            desk.server.latency = () => 0;
            await vi.advanceTimersByTimeAsync(1000);
            for (const window of windows) await window.flush(true);
            for (const window of windows) window.end();
            await reopen();
          } else if (what === "mood") {
            if (desk.server.mood === "there") desk.server.mood = x % 2 ? "away" : "answer lost";
            else desk.server.comeBack();
          } else if (what === "outside") {
            last.outside = ++edits;
            desk.editOutside((document) => operations.setParameters(document, "outside", { x: edits }));
          } else await vi.advanceTimersByTimeAsync(x);
        }
        desk.server.comeBack();
        await vi.advanceTimersByTimeAsync(60_000);
        expect(desk.values).toEqual(last);
        for (const window of windows) {
          expect(window.conflict).toBeUndefined();
          expect(values(window.store.document)).toEqual(last);
          expect(window.saveState.kind).toBe("saved");
          window.end();
        }
      } finally {
        vi.useRealTimers();
      }
    }),
    { numRuns: 150 },
  );
  console.log(
    `${edits} edits in two windows, with crashes, reloads, lost answers and edits by others: none lost`,
  );
});
