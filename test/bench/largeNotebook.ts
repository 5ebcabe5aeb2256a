import demo from "../../data/examples/the-lantern-room.json" with { type: "json" };
import type { NotebookCell, NotebookDocument } from "../../src/document/notebook.ts";

/** The demo over and over, links and all, until there are so many cells. */
export function largeNotebook(cells: number): NotebookDocument {
  const source = demo as unknown as NotebookDocument;
  const all: NotebookCell[] = [];
  for (let round = 1; all.length < cells; round++) {
    const own = (id: string) => (round === 1 ? id : `${id}-${round}`);
    for (const cell of source.cells.slice(0, cells - all.length)) {
      const inputs = Object.fromEntries(
        Object.entries(cell.inputs).map(([name, ids]) => [
          name,
          typeof ids === "string" ? own(ids) : ids.map(own),
        ]),
      );
      all.push({ ...cell, id: own(cell.id), title: `${cell.title} ${round}`, inputs });
    }
  }
  return { ...source, title: "Large", cells: all };
}

/** Parts with measured spectra until the file has so many bytes: as numbers, which are slower to read than text. */
export function heavyNotebook(bytes: number): NotebookDocument {
  const cell = (k: number): NotebookCell => ({
    id: `part-${k}`,
    kind: "substrate",
    title: `Part ${k}`,
    parameters: {
      grey: 20,
      spectrum: {
        label: `Reading ${k}`,
        origin: "invented",
        wavelengths: Array.from({ length: 36 }, (_, i) => 380 + 10 * i),
        values: Array.from({ length: 36 }, (_, i) => Number((0.2 + 0.1 * Math.sin(k + i)).toFixed(6))),
      },
    },
    inputs: {},
  });
  const size = JSON.stringify(cell(1000), null, 1).length;
  const cells = Array.from({ length: Math.floor(bytes / size) }, (_, k) => cell(k));
  return { format: "bole-notebook", version: 2, title: "Heavy", cells };
}
