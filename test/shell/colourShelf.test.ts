import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import example from "../../data/examples/bring-a-colour-in.json?raw";
import type { LibraryItem } from "../../src/document/libraryItem.ts";
import type { NotebookCell, NotebookDocument } from "../../src/document/notebook.ts";
import type { LibraryEntry } from "../../src/document/served.ts";
import { ColoursAtHand } from "../../src/shell/colourShelf.ts";
import { NotebookStore } from "../../src/shell/notebookStore.ts";
import { runDirect } from "../../src/workers/direct.ts";

const cell = (id: string, kind: string, parameters: NotebookCell["parameters"]): NotebookCell => ({
  ...{ id, kind, title: `My ${id}`, parameters, inputs: {} },
});
const Lab = { label: "", L: 44, a: 30, b: 20, observer: "1964-10", illuminant: "D50" };

const photo = (JSON.parse(example) as NotebookDocument).cells.find(({ kind }) => kind === "photo")!;

const item = (kind: string, parameters: LibraryItem["versions"][number]["parameters"]): LibraryItem => ({
  ...{ format: "bole-library-item", version: 1, kind },
  versions: [{ number: 1, saved: "2026-01-01T00:00:00.000Z", title: "Kept red", note: "", parameters }],
});
const entry = (kind: string, problem?: string): LibraryEntry =>
  ({ name: "kept", kind, title: "Kept red", latest: 1, saved: "", versions: 1, problem }) as LibraryEntry;

async function shelf(cells: NotebookCell[], kept?: { entry: LibraryEntry; item: LibraryItem }) {
  const document = { format: "bole-notebook", version: 2, title: "Job", cells } as NotebookDocument;
  const store = new NotebookStore(registry, document, runDirect);
  await store.graph.settled();
  const library = {
    entries: kept ? [kept.entry] : [],
    refresh: async () => {},
    item: async () => kept!.item,
  };
  return new ColoursAtHand(
    () => store,
    library,
    runDirect,
    async () => {},
  );
}

// identity throughout: what a cell was told is what is handed on
describe("colours at hand", () => {
  test("a target and a part that were read, in the light and with the surface they were read in", async () => {
    const known = await (
      await shelf([
        cell("target", "target", {
          source: "lab",
          L: 40,
          a: 50,
          b: 30,
          illuminant: "A",
          observer: "1931-2",
          specular: "excluded",
        }),
        cell("part", "substrate", { Lab, specular: "unknown" }),
        cell("grey", "substrate", { grey: 20 }),
        cell("plan", "coat-plan", {}),
      ])
    ).list();
    expect(known.map(({ label }) => label)).toEqual(["target “My target”", "part “My part”"]);
    const [target, part] = await Promise.all(known.map(({ read }) => read()));
    expect(target.samples).toEqual([
      {
        kind: "Lab",
        label: "My target",
        Lab: [40, 50, 30],
        illuminant: "A",
        observer: "1931-2",
        specular: "excluded",
      },
    ]);
    expect(part.samples).toEqual([
      { kind: "Lab", label: "My part", Lab: [44, 30, 20], illuminant: "D50", observer: "1964-10" },
    ]);
  });

  test("a photograph hands on how sure it is", async () => {
    const known = await (await shelf([cell("seat", "photo", photo.parameters)])).list();
    expect(known.map(({ label }) => label)).toEqual(["photograph “My seat”"]);
    const { samples, assumptions } = await known[0].read();
    expect(samples[0]).toMatchObject({ kind: "Lab", specular: "excluded", illuminant: "D65" });
    expect(assumptions.join()).toMatch(/true colour likely lies within ΔE00 \d/);
  });

  test("a colour of the library is worked out from what was kept; a broken one says why", async () => {
    const parameters = {
      source: "lab",
      L: 41,
      a: 52,
      b: 33,
      illuminant: "D65",
      observer: "1964-10",
      specular: "included",
    };
    const good = { entry: entry("target"), item: item("target", parameters) };
    const [red] = await (await shelf([], good)).list();
    expect(red.label).toBe("library: target “Kept red”");
    expect((await red.read()).samples[0]).toMatchObject({ kind: "Lab", Lab: [41, 52, 33] });
    const [broken] = await (
      await shelf([], { entry: entry("target"), item: item("target", { ...parameters, L: 400 }) })
    ).list();
    await expect(broken.read()).rejects.toThrow(/Kept red: .*L/);
    // What the library itself calls broken, and habits of reading, are no colours.
    expect(await (await shelf([], { ...good, entry: entry("target", "cut short") })).list()).toEqual([]);
    expect(await (await shelf([], { ...good, entry: entry("reading-habit") })).list()).toEqual([]);
  });
});
