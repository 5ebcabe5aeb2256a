import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import type { NotebookCell } from "../../src/document/notebook.ts";
import { coveredCells } from "../../src/document/secrets.ts";

const cell = (
  id: string,
  kind: string,
  inputs: NotebookCell["inputs"] = {},
  parameters: NotebookCell["parameters"] = {},
): NotebookCell => ({ id, kind, title: id, inputs, parameters });

const film = [
  cell("rack", "pigment-set"),
  cell("plan", "coat-plan"),
  cell("mix", "recipe", { pigments: "rack", plan: "plan" }),
  cell("cover", "coverage", { recipe: "mix", plan: "plan" }),
  cell("blends", "ratio-sweep", { coverage: "cover" }),
  cell("cut", "layer-picture", { coverage: "cover" }),
  cell("all-light", "light-budget", { coverage: "cover" }),
  cell("later", "weigh-out", { recipe: "mix" }),
];
const asks = (id: string, about: string | string[], parameters: NotebookCell["parameters"]) =>
  cell(id, "question", { about }, { ask: "number", ...parameters });
const covered = (...cells: NotebookCell[]) =>
  Object.fromEntries([...coveredCells([...cells, ...film], registry)].map(([id, { title }]) => [id, title]));

describe("what is covered", () => {
  test("nothing without a question, and nothing once it is answered", () => {
    expect(covered(cell("words", "note"))).toEqual({});
    expect(covered(asks("q", "cover", { quantity: "part-1-difference", revealed: true }))).toEqual({});
  });

  test("a question about the colour: all that tells of it, before and behind, but no supplies and no light", () => {
    expect(covered(asks("q", "cover", { quantity: "part-1-difference" }))).toEqual({
      cover: "q",
      mix: "q",
      blends: "q",
      later: "q", // says nothing of what it tells
    });
  });

  test("light at one wavelength is told by the whole spectrum too, not the other way round", () => {
    expect(covered(asks("q", "cut", { quantity: "back" }))).toEqual({
      cut: "q",
      "all-light": "q",
      later: "q",
    });
    expect(covered(asks("q", "all-light", { quantity: "back" }))).toEqual({ "all-light": "q", later: "q" });
  });

  test("of several linked cells only those count whose number is the answer", () => {
    const found = covered(asks("q", ["blends", "cut"], { quantity: "blends:best-ratio" }));
    expect(found).toMatchObject({ blends: "q" });
    expect(found).not.toHaveProperty("cut");
  });

  test("a question that tells the answer of an earlier one waits for it, and no other", () => {
    const first = asks("first", "cut", { quantity: "bare-back" });
    const second = asks("second", "cut", { quantity: "back", after: "{back}, against {bare-back}" });
    const third = asks("third", "cut", { quantity: "part" });
    expect(covered(first, second, third)).toMatchObject({ second: "first" });
    expect(covered(first, second, third)).not.toHaveProperty("third");
    expect(covered(second, first)).not.toHaveProperty("second");
    const answered = { ...first, parameters: { ...first.parameters, revealed: true } };
    expect(covered(answered, second)).not.toHaveProperty("second");
  });

  test("a ranked question keeps every number that it ranks", () => {
    const ranked = asks("ranked", "cut", {
      ask: "least",
      answers: [
        { label: "a", quantity: "back" },
        { label: "b", quantity: "bare-back" },
      ],
    });
    expect(covered(ranked, asks("next", "cut", { quantity: "part", text: "Now {bare-back}" }))).toMatchObject(
      {
        next: "ranked",
      },
    );
  });

  test("notes above a question are seen, notes below are not", () => {
    const question = asks("q", "cut", { quantity: "back" });
    const found = covered(cell("above", "note"), question, cell("below", "note"));
    expect(found).toMatchObject({ below: "q" });
    expect(found).not.toHaveProperty("above");
  });

  test("a link to a cell that is gone does no harm", () => {
    expect(() => covered(asks("q", "gone", { quantity: "gone:x" }))).not.toThrow();
  });
});
