import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import targetCsv from "../../data/lantern-room/target-reference.csv?raw";
import calibrationFile from "../../data/starters/calibration.json?raw";
import targetFile from "../../data/starters/target.json?raw";
import { runDocument } from "../../src/cli/runNotebook.ts";
import { emptyNotebook, type NotebookDocument, serialiseNotebook } from "../../src/document/notebook.ts";
import { addCell, setParameters } from "../../src/document/operations.ts";
import type { Outcome } from "../../src/graph/outcome.ts";
import { initialParameters } from "../../src/graph/parameters.ts";
import { keySheet } from "../../src/shell/keySheet.ts";
import { type NextStep, nextStep, way } from "../../src/shell/nextStep.ts";
import { shortcutOf } from "../../src/shell/shortcuts.ts";
import { starter } from "../../src/shell/starters.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { computed } from "../cells/computed.ts";

const measured = parseCsvTable(targetCsv, "target-reference.csv");
const spectrum = {
  label: "poppy",
  wavelengths: [...numberColumn(measured, "wavelength_nm")],
  values: [...numberColumn(measured, "reflectance")],
};

const document = await starter("target");

describe("a start from a target", () => {
  test("is saved as this program saves it", () => expect(serialiseNotebook(document)).toBe(targetFile));

  test("holds the cells of the guide's way and a note, no more", () => {
    const kinds = (cells: readonly { id: string; kind: string }[]) =>
      cells.map(({ id, kind }) => `${id}: ${kind}`).sort();
    const stages = way.map(({ cell, kind }) => ({ id: cell, kind }));
    expect(kinds(document.cells)).toEqual(kinds([...stages, { id: "steps", kind: "note" }]));
  });

  test("waits for nothing but the measured file", async () => {
    const { cells } = await runDocument(document);
    expect(cells.filter(({ status }) => status === "error").map(({ id }) => id)).toEqual(["target"]);
    expect(cells.filter(({ status }) => status === "blocked").every(({ root }) => root === "target")).toBe(
      true,
    );
  });

  test("with the file every cell is ready, and the sweep tells a best ratio", async () => {
    const report = await runDocument(setParameters(document, "target", { spectrum }));
    expect(report.cells.filter(({ status }) => status !== "ok")).toEqual([]);
    const { best } = report.cells.find(({ id }) => id === "ratio")!.result as {
      best: { ratio: number; difference: number };
    };
    expect(best.ratio).toBeGreaterThanOrEqual(0);
    expect(best.ratio).toBeLessThanOrEqual(1);
    expect(Number.isFinite(best.difference)).toBe(true);
  });

  test("with the file the guide advises to settle blend and recipe, and is silent once that is done", async () => {
    const start = setParameters(document, "target", { spectrum });
    const stepOf = async (of: NotebookDocument) => {
      // A note stands beside the way: without it the notebook is the guide's own.
      const own = { ...of, cells: of.cells.filter(({ kind }) => kind !== "note") };
      const graph = await computed(own);
      return { graph, step: nextStep(own, registry, (id) => graph.outcome(id)) };
    };
    const { graph, step } = await stepOf(start);
    expect(step).toMatchObject({
      do: "act",
      id: "ratio",
      action: "settle",
      label: "Settle blend and recipe",
    });
    let settled = start;
    await graph.act("ratio", "settle", new AbortController().signal, undefined, (id, patch) => {
      settled = setParameters(settled, id, patch);
    });
    expect((await stepOf(settled)).step).toBeUndefined();
  });

  test("its words name only cells that are in it", () => {
    const titles = document.cells.map(({ title }) => title);
    const text = document.cells[0].parameters.text as string;
    for (const [, title] of text.matchAll(/\*\*(.+?)\*\*/g)) expect(titles).toContain(title);
  });
});

describe("what is still to be given", () => {
  test.each([
    ["target", /no spectrum is loaded/i],
    ["photo", /no photograph/i],
    ["calibration", /no drawdowns yet/i],
  ])("a new %s cell asks for it and calls it no fault", async (name, message) => {
    const kind = registry.get(name)!;
    const rack = addCell(emptyNotebook("New"), {
      kind: "pigment-set",
      title: "Pastes",
      parameters: { set: "Lantern Room rack" },
      inputs: {},
    });
    const { document, id } = addCell(rack.document, {
      kind: name,
      title: kind.label,
      parameters: initialParameters(kind.parameters),
      inputs: name === "calibration" ? { pigments: rack.id } : {},
    });
    const cell = (await runDocument(document)).cells.find((report) => report.id === id)!;
    expect(cell.status).toBe("error");
    expect(cell.message).toMatch(message);
    expect(cell.toGive).toBe(true);
  });
});

describe("a start from a calibration", () => {
  test("is saved as this program saves it, and waits for nothing but the drawdowns", async () => {
    const calibration = await starter("calibration");
    expect(serialiseNotebook(calibration)).toBe(calibrationFile);
    const { cells } = await runDocument(calibration);
    expect(cells.filter(({ status }) => status !== "ok").map(({ id, toGive }) => [id, toGive])).toEqual([
      ["calibration", true],
    ]);
    const kind = registry.get("calibration")!;
    const cell = calibration.cells.find((candidate) => candidate.kind === "calibration")!;
    for (const name of Object.keys(cell.inputs)) expect(Object.keys(kind.inputs)).toContain(name);
  });
});

describe("the next step", () => {
  const ok: Outcome = { status: "ok", value: 0, notes: [] };
  const step = (document: NotebookDocument, outcomes: Record<string, Outcome> = {}) =>
    nextStep(document, registry, (id) => outcomes[id] ?? ok);
  const settings = (start: string) => document.cells.find(({ id }) => id === start)!.parameters;
  const added = (found: NextStep | undefined) => (found?.do === "add" ? found.kind.kind : undefined);

  test("an empty notebook begins with a target", () => expect(added(step(emptyNotebook("")))).toBe("target"));

  test("following it leads to a ratio sweep in which only the file is missing", async () => {
    let grown = emptyNotebook("");
    const kinds: string[] = [];
    for (let found = step(grown); found?.do === "add"; found = step(grown)) {
      const { kind, stage } = found;
      kinds.push(kind.kind);
      const inputs: Record<string, string | string[]> = {};
      for (const [name, port] of Object.entries(kind.inputs)) {
        const givers = grown.cells.filter((cell) => registry.get(cell.kind)?.output === port.type);
        if (givers.length > 0)
          inputs[name] = port.many ? givers.map(({ id }) => id) : givers[givers.length - 1].id;
      }
      grown = addCell(grown, {
        kind: kind.kind,
        title: stage.title ?? kind.label,
        parameters: { ...initialParameters(kind.parameters), ...settings(stage.cell) },
        inputs,
      }).document;
      expect(kinds.length).toBeLessThan(20);
    }
    expect(kinds.at(-1)).toBe("ratio-sweep");
    const target = grown.cells.find(({ kind }) => kind === "target")!;
    const { cells } = await runDocument(setParameters(grown, target.id, { spectrum }));
    expect(cells.filter(({ status }) => status !== "ok")).toEqual([]);
  });

  test("a cell that needs a person comes first", () => {
    const error: Outcome = { status: "error", message: "No spectrum is loaded", bug: false };
    expect(step(document, { target: error })).toEqual({
      do: "mend",
      id: "target",
      title: "My target",
      message: "No spectrum is loaded",
    });
  });

  test("a photograph of the colour is a target too", () => {
    const photo = { kind: "photo", title: "", parameters: {}, inputs: {} };
    expect(added(step(addCell(emptyNotebook(""), photo).document))).toBe("viewing");
  });

  test("a notebook that goes another way is left alone", () => {
    const note = addCell(emptyNotebook(""), { kind: "note", title: "", parameters: {}, inputs: {} }).document;
    expect(step(note)).toBeUndefined();
    expect(step(document)).toBeUndefined();
  });
});

describe("keys", () => {
  const press = (key: string, modifiers: Partial<KeyboardEvent> = {}) =>
    shortcutOf({ key, altKey: false, shiftKey: false, ctrlKey: false, metaKey: false, ...modifiers });

  test.each([
    ["F1", {}, "help"],
    ["ArrowDown", { altKey: true }, "next"],
    ["ArrowUp", { altKey: true }, "previous"],
    ["ArrowDown", { altKey: true, shiftKey: true }, "moveDown"],
    ["ArrowUp", { altKey: true, shiftKey: true }, "moveUp"],
    ["ArrowDown", {}, undefined],
    ["ArrowDown", { altKey: true, ctrlKey: true }, undefined],
    ["F1", { metaKey: true }, undefined],
    ["?", { shiftKey: true }, undefined],
  ] as const)("%s %j", (key, modifiers, expected) => expect(press(key, modifiers)).toBe(expected));

  test("no letter or digit alone does anything, so that typing and speech stay free", () => {
    for (const key of "abcdefghijklmnopqrstuvwxyzABC0123456789?/. ") {
      expect(press(key)).toBeUndefined();
      expect(press(key, { shiftKey: true })).toBeUndefined();
    }
  });

  test("the sheet names every shortcut of the workbench", () => {
    const listed = keySheet[0].keys.map(([keys]) => keys).join("; ");
    for (const keys of ["F1", "Alt + ↓", "Alt + ↑", "Alt + Shift + ↓"]) expect(listed).toContain(keys);
  });
});
