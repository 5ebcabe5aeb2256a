import { expect, test } from "vitest";
import type { NotebookCell } from "../../src/document/notebook.ts";
import type { LibraryEntry } from "../../src/document/served.ts";
import { LibraryHabits } from "../../src/shell/habitShelf.ts";
import {
  habitAfter,
  habitKind,
  habitOf,
  type ReadingHabit,
  withHabit,
} from "../../src/tables/readingHabit.ts";

const sensor: ReadingHabit = {
  name: "Pocket sensor",
  illuminant: "D50",
  observer: "1931-2",
  specular: "excluded",
  spread: 0.4,
};

/** A library in memory: one item for each name, as the server keeps them. */
class MemoryLibrary extends EventTarget {
  readonly kept: { kind: string; title: string; parameters: unknown; version: number }[] = [];
  get entries(): LibraryEntry[] {
    return this.kept.map(({ kind, title, version }) => ({
      ...{ name: title, kind, title, latest: version, saved: "", versions: version },
    }));
  }
  async item(name: string) {
    const { title, parameters, version } = this.kept.find((one) => one.title === name)!;
    return { versions: [{ number: version, title, parameters }] };
  }
  async refresh() {
    this.dispatchEvent(new Event("change"));
  }
  async keepInLibrary(cell: { kind: string; title: string; parameters: unknown }) {
    this.kept.push({ ...cell, version: 1 });
    return { name: cell.title, version: 1 };
  }
  async keepVersion(name: string, cell: { parameters: unknown }, basedOn: number) {
    const one = this.kept.find(({ title }) => title === name)!;
    Object.assign(one, { parameters: cell.parameters, version: basedOn + 1 });
    return { name, version: basedOn + 1 };
  }
}

const shelfOf = (library: MemoryLibrary, cells: Partial<NotebookCell>[] = []) =>
  new LibraryHabits(library, library, () => cells as NotebookCell[]);

// identity: what was kept is what is offered
test("habits are kept in the library under their names, and a later answer takes the place of the one before", async () => {
  const library = new MemoryLibrary();
  library.kept.push({ kind: "substrate", title: "seat", parameters: {}, version: 1 });
  const shelf = shelfOf(library);
  await shelf.keep(sensor);
  expect(shelf.habits).toEqual([sensor]);
  await shelf.keep({ ...sensor, decimal: "comma" });
  expect(shelf.habits).toEqual([{ ...sensor, decimal: "comma" }]);
  expect(library.kept.filter(({ kind }) => kind === habitKind)).toMatchObject([{ version: 2 }]);
});

test("an item of the library that is no habit is passed over", async () => {
  const library = new MemoryLibrary();
  library.kept.push({ kind: habitKind, title: "broken", parameters: { specular: "sometimes" }, version: 1 });
  const shelf = shelfOf(library);
  await shelf.keep(sensor);
  expect(shelf.habits).toEqual([sensor]);
  expect(habitOf("broken", { specular: "sometimes" })).toBeUndefined();
});

test("the habit of a job is that of its target", () => {
  const library = new MemoryLibrary();
  expect(shelfOf(library).usual).toBe("");
  const cells: Partial<NotebookCell>[] = [
    { kind: "substrate", parameters: {} },
    { kind: "target", parameters: { habit: "Pocket sensor" } },
  ];
  const shelf = shelfOf(library, cells);
  expect(shelf.usual).toBe("Pocket sensor");
  // Told once, not at every change of the notebook.
  let told = 0;
  shelf.addEventListener("change", () => told++);
  shelf.jobChanged();
  shelf.jobChanged();
  cells[1] = { kind: "target", parameters: { habit: "Another" } };
  shelf.jobChanged();
  expect(told).toBe(2);
});

test("a habit fills in what a reading does not say, and nothing else", () => {
  const Lab = { kind: "Lab", label: "seat", Lab: [40, 1, 2] };
  expect(withHabit(Lab, sensor)).toEqual({
    ...Lab,
    illuminant: "D50",
    observer: "1931-2",
    specular: "excluded",
  });
  expect(withHabit({ ...Lab, illuminant: "A", specular: "included" }, sensor)).toMatchObject({
    illuminant: "A",
    observer: "1931-2",
    specular: "included",
  });
  // A spectrum has no light; an answer "I don't know" stays open for the cell to answer.
  expect(withHabit({ kind: "spectrum" }, { ...sensor, specular: "unknown" })).toEqual({ kind: "spectrum" });
  expect(withHabit(Lab, undefined)).toBe(Lab);
});

// source: Saunderson 1942: with the surface counted in nothing reflects less than k1 = 0.04
test("a black tells of an instrument whether it leaves the surface out; a lighter reading and a known one tell nothing", () => {
  const unknown = { ...sensor, specular: "unknown" } as const;
  expect(habitAfter(unknown, 0.02).specular).toBe("excluded");
  expect(habitAfter(unknown, 0.05)).toBe(unknown);
  const included = { ...sensor, specular: "included" } as const;
  expect(habitAfter(included, 0.02)).toBe(included);
});
