import { describe, expect, test } from "vitest";
import type { NotebookCell, NotebookDocument } from "../../src/document/notebook.ts";
import { select } from "../../src/handout/selection.ts";

const cell = (id: string, inputs: NotebookCell["inputs"] = {}): NotebookCell => ({
  id,
  kind: "recipe",
  title: id,
  parameters: {},
  inputs,
});

/** shelf → mix → cover → sweep, target → cover; note alone */
const notebook: NotebookDocument = {
  format: "bole-notebook",
  version: 2,
  title: "chain",
  cells: [
    cell("note"),
    cell("shelf"),
    cell("target"),
    cell("mix", { set: "shelf" }),
    cell("cover", { recipe: "mix", target: "target", parts: ["note"] }),
    cell("sweep", { coverage: "cover" }),
  ],
  view: { folded: ["shelf", "sweep"], sight: [{ cell: "cover", piece: "set-ratio" }] },
};
const all = notebook.cells.map(({ id }) => id);
const idsOf = ({ cells }: NotebookDocument) => cells.map(({ id }) => id);

// identity: what each chain holds, read off the notebook above by hand
describe("the cells of a page", () => {
  test("all of them: the notebook as it is", () => {
    const { document, frozen } = select(notebook, { shown: all, leftOut: [] });
    expect(document).toEqual(notebook);
    expect(frozen).toEqual([]);
  });

  test("what a shown cell needs works behind; what nothing needs is not in the file", () => {
    const { document, frozen } = select(notebook, { shown: ["mix"], leftOut: [] });
    expect(idsOf(document)).toEqual(["shelf", "mix"]);
    expect(frozen).toEqual([]);
    expect(document.view).toEqual({ folded: ["shelf"], sight: [] });
  });

  test("what takes from a cell that is left out stays as it is, however far down, and names it nowhere", () => {
    const { document, frozen } = select(notebook, { shown: all, leftOut: ["shelf"] });
    expect(idsOf(document)).toEqual(["note", "target", "mix", "cover", "sweep"]);
    expect(frozen).toEqual(["mix", "cover", "sweep"]);
    expect(JSON.stringify(document)).not.toContain("shelf");
    expect(document.cells.find(({ id }) => id === "cover")?.inputs).toEqual({
      recipe: "mix",
      target: "target",
      parts: ["note"],
    });
    expect(document.view?.sight).toEqual([]);
  });

  test("a cell that stays as it is asks for nothing", () => {
    const { document } = select(notebook, { shown: ["sweep"], leftOut: ["shelf"] });
    expect(idsOf(document)).toEqual(["sweep"]);
    expect(document.cells[0].inputs).toEqual({});
  });

  test("a cell that cannot be computed in a page stays as it is, and so does what takes from it", () => {
    const apart = {
      ...notebook,
      cells: notebook.cells.map((one) => (one.id === "cover" ? { ...one, kind: "endless" } : one)),
    };
    const { frozen } = select(apart, { shown: all, leftOut: [] }, (kind) => kind === "endless");
    expect(frozen).toEqual(["cover", "sweep"]);
  });

  test("left out goes before shown", () => {
    expect(idsOf(select(notebook, { shown: ["note", "target"], leftOut: ["note"] }).document)).toEqual([
      "target",
    ]);
  });
});
