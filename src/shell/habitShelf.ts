import type { HabitShelf } from "../controls/habitChooser.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { LibraryEntry } from "../document/served.ts";
import { habitKind, habitOf, type ReadingHabit } from "../tables/readingHabit.ts";
import type { Service } from "./service.ts";

/** What of the library is needed here. */
interface HabitLibrary extends EventTarget {
  readonly entries: readonly LibraryEntry[] | undefined;
  item(
    name: string,
  ): Promise<{ versions: readonly { number: number; title: string; parameters: unknown }[] }>;
  refresh(): Promise<void>;
}

/** Reading habits as the library keeps them, and the one that the open job goes by: that of its target. */
export class LibraryHabits extends EventTarget implements HabitShelf {
  readonly #library: HabitLibrary;
  readonly #service: Pick<Service, "keepInLibrary" | "keepVersion">;
  readonly #cells: () => readonly NotebookCell[];
  #habits: readonly ReadingHabit[] | undefined;
  #asked = false;
  #lastUsual = "";

  constructor(
    library: HabitLibrary,
    service: Pick<Service, "keepInLibrary" | "keepVersion">,
    cells: () => readonly NotebookCell[],
  ) {
    super();
    this.#library = library;
    this.#service = service;
    this.#cells = cells;
  }

  get habits(): readonly ReadingHabit[] | undefined {
    if (!this.#asked) {
      this.#asked = true;
      this.#library.addEventListener("change", () => void this.#read());
      if (this.#library.entries) void this.#read();
    }
    return this.#habits;
  }

  get usual(): string {
    const target = this.#cells().find(({ kind, parameters }) => kind === "target" && parameters.habit);
    return typeof target?.parameters.habit === "string" ? target.parameters.habit : "";
  }

  /** The open notebook has changed, or is another one. */
  jobChanged(): void {
    const { usual } = this;
    if (usual === this.#lastUsual) return;
    this.#lastUsual = usual;
    this.dispatchEvent(new Event("change"));
  }

  async keep({ name, ...habit }: ReadingHabit): Promise<void> {
    const cell = { kind: habitKind, title: name, note: "", parameters: habit };
    const entry = this.#entries().find(({ title }) => title === name);
    if (entry) await this.#service.keepVersion(entry.name, cell, entry.latest);
    else await this.#service.keepInLibrary(cell);
    await this.#library.refresh();
    await this.#read();
  }

  #entries(): LibraryEntry[] {
    return (this.#library.entries ?? []).filter(({ kind, problem }) => kind === habitKind && !problem);
  }

  async #read(): Promise<void> {
    const found = await Promise.all(
      this.#entries().map(async ({ name, title, latest }) => {
        try {
          const { versions } = await this.#library.item(name);
          const version = versions.find(({ number }) => number === latest);
          return version && habitOf(title, version.parameters);
        } catch {
          return undefined; // the library names one that cannot be read; the others count
        }
      }),
    );
    this.#habits = found.filter((habit) => habit !== undefined);
    this.dispatchEvent(new Event("change"));
  }
}
