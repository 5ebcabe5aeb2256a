import { produce } from "immer";
import { freeCellId } from "../graph/cellId.ts";
import { loopThrough } from "../graph/loops.ts";
import { InputError } from "../graph/outcome.ts";
import type { NotebookCell, NotebookDocument } from "./notebook.ts";

/** Every operation takes a document and returns a new one; unchanged cells keep their identity. */
type Draft<T> = { -readonly [Key in keyof T]: T[Key] extends object ? Draft<T[Key]> : T[Key] };
type DocumentDraft = Draft<NotebookDocument> & { cells: Draft<NotebookCell>[] };

function edit(document: NotebookDocument, recipe: (draft: DocumentDraft) => void): NotebookDocument {
  return produce(document, recipe as (draft: NotebookDocument) => void);
}

function indexOf(document: NotebookDocument, id: string): number {
  const index = document.cells.findIndex((cell) => cell.id === id);
  if (index < 0) throw new InputError(`There is no cell "${id}" in this notebook`);
  return index;
}

/** Put a new cell at a place (default: the end). */
export function addCell(
  document: NotebookDocument,
  cell: Omit<NotebookCell, "id"> & { id?: string },
  at: number = document.cells.length,
): { document: NotebookDocument; id: string } {
  const id = freeCellId(
    cell.id ?? cell.kind,
    document.cells.map((other) => other.id),
  );
  const added = { ...cell, id };
  return {
    document: edit(document, (draft) => void draft.cells.splice(at, 0, added as Draft<NotebookCell>)),
    id,
  };
}

/** Copy a cell, links and all, to just below itself. */
export function duplicateCell(
  document: NotebookDocument,
  id: string,
): { document: NotebookDocument; id: string } {
  const index = indexOf(document, id);
  const original = document.cells[index];
  return addCell(
    document,
    {
      ...structuredClone(original),
      id: original.id.replace(/-\d+$/, ""),
      title: numbered(document, original.title),
    },
    index + 1,
  );
}

/** The title with the next number that no cell has: "My part", "My part 2", "My part 3". */
function numbered({ cells }: NotebookDocument, title: string): string {
  const [, name, own = "1"] = /^(.*?)(?: (\d{1,3}))?$/su.exec(title) as RegExpExecArray;
  const taken = new Set(cells.map((cell) => cell.title));
  const first = Number(own) + 1;
  // One more than there are titles: one of these is free.
  const free = Array.from({ length: cells.length + 1 }, (_, k) => `${name} ${first + k}`);
  return free.find((one) => !taken.has(one)) ?? title;
}

/**
 * Where several cells are taken and one of them is like the added one, take that too, after it.
 * @param takes whether an input of a cell takes what both give
 */
export function takeToo(
  document: NotebookDocument,
  like: string,
  added: string,
  takes: (kind: string, input: string) => boolean,
): NotebookDocument {
  return edit(document, (draft) => {
    for (const { kind, inputs } of draft.cells) {
      for (const [input, givers] of Object.entries(inputs)) {
        if (!Array.isArray(givers) || givers.includes(added) || !takes(kind, input)) continue;
        const at = givers.indexOf(like);
        if (at >= 0) givers.splice(at + 1, 0, added);
      }
    }
  });
}

/** Take a cell out. Links to it stay and show as broken, so that nothing else changes silently. */
export function removeCell(document: NotebookDocument, id: string): NotebookDocument {
  const index = indexOf(document, id);
  return edit(document, (draft) => void draft.cells.splice(index, 1));
}

/** Move a cell to another place in the order. */
export function moveCell(document: NotebookDocument, id: string, to: number): NotebookDocument {
  const from = indexOf(document, id);
  const place = Math.max(0, Math.min(document.cells.length - 1, to));
  return edit(document, (draft) => {
    const [cell] = draft.cells.splice(from, 1);
    draft.cells.splice(place, 0, cell);
  });
}

export function renameCell(document: NotebookDocument, id: string, title: string): NotebookDocument {
  const index = indexOf(document, id);
  return edit(document, (draft) => {
    draft.cells[index].title = title.slice(0, 200);
  });
}

export function renameNotebook(document: NotebookDocument, title: string): NotebookDocument {
  return edit(document, (draft) => {
    draft.title = title.slice(0, 200);
  });
}

/** Change some parameters of a cell. */
export function setParameters(
  document: NotebookDocument,
  id: string,
  patch: Readonly<Record<string, unknown>>,
): NotebookDocument {
  const index = indexOf(document, id);
  return edit(document, (draft) => {
    Object.assign(draft.cells[index].parameters, patch);
  });
}

/**
 * Link an input to one or more cells, or to none.
 * @throws InputError with the path when a link would close a loop
 */
export function setLinks(
  document: NotebookDocument,
  id: string,
  input: string,
  givers: readonly string[],
): NotebookDocument {
  const index = indexOf(document, id);
  const upstream = new Map(
    document.cells.map((cell) => [
      cell.id,
      cell.id === id ? otherLinks(cell, input) : Object.values(cell.inputs).flat(),
    ]),
  );
  for (const giver of givers) {
    const loop = loopThrough(upstream, giver, id);
    if (loop) {
      const titles = loop.map((member) => document.cells.find((cell) => cell.id === member)?.title || member);
      throw new InputError(`That link would close a loop: ${titles.join(" → ")}`, {
        field: input,
        wayOut: "Cut one of these links first, or link another cell",
      });
    }
  }
  return edit(document, (draft) => {
    const { inputs } = draft.cells[index] as unknown as { inputs: Record<string, string | string[]> };
    if (givers.length === 0) delete inputs[input];
    else inputs[input] = givers.length === 1 ? givers[0] : [...givers];
  });
}

function otherLinks(cell: NotebookCell, except: string): string[] {
  return Object.entries(cell.inputs)
    .filter(([name]) => name !== except)
    .flatMap(([, ids]) => ids);
}
