import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { kindsByQuestion } from "../../cells/registry.ts";
import { emptyNotebook, type NotebookDocument } from "../../src/document/notebook.ts";
import { addCell } from "../../src/document/operations.ts";
import { initialParameters } from "../../src/graph/parameters.ts";
import { kindsMeant, kindsNext } from "../../src/shell/kindSearch.ts";
import { glossary } from "../../src/tables/glossary.ts";

const all = [...registry.values()];
const found = (typed: string) => kindsMeant(typed, all, glossary).map(({ kind }) => kind);
const ok = () => ({ status: "ok", value: undefined, notes: [] }) as const;
const next = (document: NotebookDocument) => kindsNext(document, registry, ok).map(({ kind }) => kind);

/** A notebook of these kinds, each linked to nothing: what is offered goes by what is there. */
function notebookOf(...kinds: string[]): NotebookDocument {
  return kinds.reduce<NotebookDocument>((document, name) => {
    const kind = registry.get(name)!;
    const cell = {
      kind: name,
      title: kind.label,
      parameters: initialParameters(kind.parameters),
      inputs: {},
    };
    return addCell(document, cell, document.cells.length).document;
  }, emptyNotebook("Test"));
}

// What is typed and what it means is common practice in the trade; there is no published source.
describe("a kind of cell is found by a few letters", () => {
  test.each([
    ["rat", "ratio-sweep"],
    ["WEIGH", "weigh-out"],
    ["  job sh ", "job-sheet"],
    ["photo", "photo"],
    ["pric", "quote"],
  ])("%s: %s comes first", (typed, kind) => {
    expect(found(typed)[0]).toBe(kind);
  });

  test("by another form of a term that stands in what a kind does", () => {
    const term = glossary.find((one) => one.also.includes("swallow"))!;
    expect(registry.get("light-budget")!.about).not.toContain(term.term);
    expect(found(term.term)).toContain("light-budget");
  });

  test("all words count, letters within a word do not, and nonsense finds nothing", () => {
    expect(found("base paints three")).toContain("three-paints");
    expect(found("base paints zebra")).toEqual([]);
    expect(found("atio")).not.toContain("ratio-sweep");
    expect(found("zebra")).toEqual([]);
  });
});

describe("what comes next", () => {
  test("is what the guide would add, then kinds that find all they need", () => {
    expect(next(emptyNotebook("Empty"))[0]).toBe("target");
    const colour = notebookOf(
      "target",
      "viewing",
      "pigment-set",
      "basecoat-blend",
      "pigment-set",
      "substrate",
    );
    expect(next(colour)[0]).toBe("coat-plan");
    const covered = notebookOf("substrate", "recipe", "coat-plan", "coverage", "viewing", "pigment-set");
    const offered = next(covered);
    expect(offered).toContain("ratio-sweep");
    expect(offered.length).toBeLessThanOrEqual(3);
    for (const kind of offered) expect(covered.cells.map((cell) => cell.kind)).not.toContain(kind);
  });

  test("every kind stands under one question", () => {
    const under = kindsByQuestion.flatMap(([, kinds]) => kinds);
    expect(new Set(under).size).toBe(under.length);
    expect([...under].sort()).toEqual([...registry.keys()].sort());
  });
});
