import { growingRegistry } from "../../cells/registry.ts";
import { wavelengths, workingGrid } from "../colour/grid.ts";
import type { ColourShelf, KnownColour } from "../controls/colourAtHand.ts";
import type { OfferedColours } from "../controls/offeredColours.ts";
import type { LibraryItem } from "../document/libraryItem.ts";
import { latestVersion } from "../document/libraryItem.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { LibraryEntry } from "../document/served.ts";
import { NotebookGraph } from "../graph/notebookGraph.ts";
import type { StatedLabParameter } from "../ports/statedLab.ts";
import type { Substrate } from "../ports/substrate.ts";
import type { Target } from "../ports/target.ts";
import type { RunTask } from "../tasks/longTask.ts";
import type { NotebookStore } from "./notebookStore.ts";

/** Kinds of cell whose value is a colour that was read, and what their colours are called. */
const kinds: Readonly<Record<string, string>> = {
  photo: "photograph",
  target: "target",
  substrate: "part",
};

/** What of the library is needed here. */
interface ColourLibrary {
  readonly entries: readonly LibraryEntry[] | undefined;
  refresh(): Promise<void>;
  item(name: string): Promise<LibraryItem>;
}

/** The colours of the open notebook and of the library, for every place where a colour goes in. */
export class ColoursAtHand implements ColourShelf {
  readonly #store: () => NotebookStore | undefined;
  readonly #library: ColourLibrary;
  readonly #run: RunTask;
  readonly photograph: () => Promise<void>;

  /** @param photograph puts a cell for a photograph into the open notebook */
  constructor(
    store: () => NotebookStore | undefined,
    library: ColourLibrary,
    run: RunTask,
    photograph: () => Promise<void>,
  ) {
    this.#store = store;
    this.#library = library;
    this.#run = run;
    this.photograph = photograph;
  }

  /** Colours of cells first, then those of the library; what would answer an open question is left out. */
  async list(): Promise<KnownColour[]> {
    const store = this.#store();
    const own = (store?.document.cells ?? []).flatMap(({ id, kind, title, parameters }): KnownColour[] => {
      const value =
        kinds[kind] && wasRead(kind, parameters) && !store!.isCovered(id)
          ? store!.graph.lastValue(id)
          : undefined;
      if (value === undefined) return [];
      const label = `${kinds[kind]} “${title}”`;
      return [{ label, read: async () => offered(label, { kind, title, parameters }, value) }];
    });
    if (!this.#library.entries) await this.#library.refresh();
    const kept = (this.#library.entries ?? []).flatMap(({ kind, name, title, problem }): KnownColour[] => {
      if (!kinds[kind] || problem) return [];
      const label = `library: ${kinds[kind]} “${title}”`;
      return [{ label, read: () => this.#kept(label, name) }];
    });
    return [...own, ...kept];
  }

  /** What a cell of the library comes to by itself. @throws Error with the words of its cell */
  async #kept(label: string, name: string): Promise<OfferedColours> {
    const item = await this.#library.item(name);
    const { kind } = item;
    const { title, parameters } = latestVersion(item);
    if (!wasRead(kind, parameters)) throw new Error(`${title} has no reading`);
    const growing = growingRegistry();
    await growing.need([kind]);
    const graph = new NotebookGraph(growing.registry, this.#run);
    try {
      graph.setCells([{ id: "kept", kind, title, parameters, inputs: {} }]);
      await graph.settled();
      const outcome = graph.outcome("kept");
      if (outcome.status === "ok") return offered(label, { kind, title, parameters }, outcome.value);
      throw new Error(`${title}: ${"message" in outcome ? outcome.message : "it has no colour"}`);
    } finally {
      graph.dispose();
    }
  }
}

type Giver = Pick<NotebookCell, "kind" | "title" | "parameters">;

/** A part that nobody has read is a grey that was assumed: no colour to hand on. */
function wasRead(kind: string, { spectrum, Lab }: Giver["parameters"]): boolean {
  return kind !== "substrate" || Boolean(spectrum ?? Lab);
}

function offered(from: string, { kind, title, parameters }: Giver, value: unknown): OfferedColours {
  const sample = kind === "substrate" ? ofPart(value as Substrate, parameters) : ofTarget(value as Target);
  const doubt = kind === "photo" ? (value as { doubt?: number }).doubt : undefined;
  return {
    form: "known",
    samples: [{ ...sample, label: title }],
    assumptions: [
      `taken from ${from}`,
      ...(doubt === undefined ? [] : [`its true colour likely lies within ΔE00 ${doubt.toFixed(1)}`]),
    ],
  };
}

function ofTarget(target: Target) {
  const { specular } = target;
  if (target.kind === "spectrum") return { ...curve(target.reflectance), specular };
  const [L, a, b] = target.Lab;
  const { observer, illuminant } = target;
  return { kind: "Lab" as const, Lab: [L, a, b] as const, observer, illuminant, specular };
}

/** The curve that was measured; of a part known as a Lab only, that Lab, for its curve is made. */
function ofPart({ measured }: Substrate, { Lab: kept, specular }: Giver["parameters"]) {
  if (!kept) return { ...curve(measured), specular: "included" as const };
  const { L, a, b, observer, illuminant } = kept as StatedLabParameter;
  const said = specular === "included" || specular === "excluded" ? { specular } : {};
  return { kind: "Lab" as const, Lab: [L, a, b] as const, observer, illuminant, ...said };
}

function curve(values: Float64Array) {
  return { kind: "spectrum" as const, wavelengths: [...wavelengths(workingGrid)], values: [...values] };
}
