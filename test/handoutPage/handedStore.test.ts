import { readFileSync } from "node:fs";
import { afterEach, describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { parseNotebook } from "../../src/document/notebook.ts";
import type { Moves } from "../../src/handout/choice.ts";
import { HandedStore } from "../../src/handoutPage/handedStore.ts";
import { runDirect } from "../../src/workers/direct.ts";

const example = (name: string) => parseNotebook(readFileSync(`data/examples/${name}.json`, "utf8"));
const demo = example("the-lantern-room");
const open: HandedStore[] = [];
afterEach(() => {
  for (const store of open.splice(0)) store.dispose();
});

function storeOf(moves: Record<string, Moves>, notebook = demo): HandedStore {
  const store = new HandedStore(registry, notebook, runDirect, { saved: "", shown: [], moves, frozen: {} });
  store.complete(notebook);
  open.push(store);
  return store;
}
const ratioOf = (store: HandedStore) => store.cell("ground")?.parameters.ratio;

describe("what a reader may move", () => {
  test("moves, and goes back by one press", () => {
    const store = storeOf({ ground: ["ratio"] });
    store.set("ground", { ratio: 0.5 });
    expect([ratioOf(store), store.isMoved]).toEqual([0.5, true]);
    store.putBack();
    expect(ratioOf(store)).toBe(demo.cells.find(({ id }) => id === "ground")?.parameters.ratio);
    expect(store.isMoved).toBe(false);
  });

  test("anything else stays, whoever asks for it and with whatever it comes", () => {
    const store = storeOf({ ground: ["ratio"] });
    store.set("ground", { coats: 5 });
    store.set("plan", { heavyCoats: 5 });
    store.setTogether([
      { id: "ground", patch: { ratio: 0.5 } },
      { id: "red", patch: { entries: [] } },
    ]);
    expect(store.document.cells).toBe(demo.cells);
  });

  test("an action is done only where everything may be changed", async () => {
    const sweep = registry.get("ratio-sweep");
    const [name] = Object.keys(sweep?.actions ?? {});
    const closed = storeOf({ ratio: ["margin"] });
    await closed.graph.settled();
    await closed.act("ratio", name);
    expect(closed.document.cells).toBe(demo.cells);
    // It sets ground and recipe too: these have to be in the reader's hand as well.
    const half = storeOf({ ratio: "all" });
    await half.graph.settled();
    await half.act("ratio", name);
    expect(half.document.cells).toBe(demo.cells);
    const whole = storeOf({ ratio: "all", ground: "all", red: "all" });
    await whole.graph.settled();
    await whole.act("ratio", name);
    expect(ratioOf(whole)).not.toBe(ratioOf(half));
  });

  test("a question can always be answered", () => {
    const store = storeOf({}, example("lesson-1-why-red-disappears"));
    store.set("red-light", { prediction: 2, revealed: true });
    expect(store.cell("red-light")?.parameters).toMatchObject({ prediction: 2, revealed: true });
  });

  test("folding is no change of the notebook and is always allowed", () => {
    const store = storeOf({});
    store.fold(["target"], true);
    expect([store.isFolded("target"), store.isMoved]).toEqual([true, false]);
  });
});
