import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import targetCsv from "../../data/lantern-room/target-reference.csv?raw";
import calibrationFile from "../../data/starters/calibration.json?raw";
import jobFile from "../../data/starters/job.json?raw";
import { runDocument } from "../../src/cli/runNotebook.ts";
import { emptyNotebook, type NotebookDocument, serialiseNotebook } from "../../src/document/notebook.ts";
import { addCell, setParameters } from "../../src/document/operations.ts";
import type { Outcome } from "../../src/graph/outcome.ts";
import { initialParameters } from "../../src/graph/parameters.ts";
import { keySheet } from "../../src/shell/keySheet.ts";
import { type NextStep, nextStep, walkedThrough, way } from "../../src/shell/nextStep.ts";
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

const document = await starter("job");

describe("a whole job", () => {
  test("is saved as this program saves it", () => expect(serialiseNotebook(document)).toBe(jobFile));

  test("holds the cells of the guide's way, no more", () => {
    const kinds = (cells: readonly { id: string; kind: string }[]) =>
      cells.map(({ id, kind }) => `${id}: ${kind}`).sort();
    expect(kinds(document.cells)).toEqual(kinds(way.map(({ cell, kind }) => ({ id: cell, kind }))));
  });

  test("waits for nothing but the colour, and for the panel of the mix", async () => {
    const { cells } = await runDocument(document);
    const asking = cells.filter(({ status }) => status === "error");
    expect(asking.map(({ id, toGive }) => [id, toGive])).toEqual([["target", true]]);
    expect(cells.filter(({ status }) => status === "blocked").every(({ root }) => root === "target")).toBe(
      true,
    );
  });

  test("with the colour every cell but the correction is ready, and the sweep tells a best ratio", async () => {
    const report = await runDocument(setParameters(document, "target", { spectrum }));
    expect(
      report.cells.filter(({ status }) => status !== "ok").map(({ id, toGive }) => [id, toGive]),
    ).toEqual([["correct", true]]);
    const { best } = report.cells.find(({ id }) => id === "ratio")!.result as {
      best: { ratio: number; difference: number };
    };
    expect(best.ratio).toBeGreaterThanOrEqual(0);
    expect(best.ratio).toBeLessThanOrEqual(1);
    expect(Number.isFinite(best.difference)).toBe(true);
  });

  test("the guide walks through it line by line, offers what a cell can do, and ends", async () => {
    const given = setParameters(document, "target", { spectrum });
    const graph = await computed(given);
    const at = (here?: string) => nextStep(given, registry, (id) => graph.outcome(id), here);
    const lines: string[] = [];
    const offers: Record<string, string> = {};
    let step = at();
    for (; step?.do === "walk"; step = at(step.next?.id ?? walkedThrough)) {
      lines.push(step.id);
      if (step.offer) offers[step.id] = step.offer.action;
      // The panel is asked for where the walk has come to it; no cell needs it, so that one can go on without.
      if (step.next?.id === "correct") {
        expect(at("correct")).toMatchObject({ do: "walk", id: "correct", next: { id: "batch" } });
        await graph.settled();
        graph.setCells(setParameters(given, "correct", { panel: "lab", L: 37, a: 46, b: 24 }).cells);
        await graph.settled();
      }
    }
    expect(lines).toEqual(document.cells.map(({ id }) => id));
    expect(offers).toEqual({ mix: "fit", ratio: "settle" });
    expect(step).toBeUndefined();
    expect(at(walkedThrough)).toBeUndefined();
    graph.dispose();
  });

  test("further parts belong to the job, other cells are passed by", async () => {
    const part = document.cells.find(({ kind }) => kind === "substrate")!;
    const more = addCell(setParameters(document, "target", { spectrum }), { ...part, id: "lid" }, 2).document;
    const graph = await computed(more);
    const at = (of: NotebookDocument, here?: string) =>
      nextStep(of, registry, (id) => graph.outcome(id), here);
    expect(at(more, "part")).toMatchObject({ do: "walk", next: { id: "lid" } });
    expect(at(more, "lid")).toMatchObject({ do: "walk", todo: expect.stringContaining("size") });
    const note = { kind: "note", title: "", parameters: { text: "" }, inputs: {} };
    const noted = addCell(more, { ...note, id: "note" }, 2).document;
    expect(at(noted, "part")).toMatchObject({ do: "walk", next: { id: "lid" } });
    graph.dispose();
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

  test("following it leads to a whole job in which only the colour is missing", async () => {
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
    expect(kinds).toEqual(way.map(({ kind }) => kind));
    const target = grown.cells.find(({ kind }) => kind === "target")!;
    const { cells } = await runDocument(setParameters(grown, target.id, { spectrum }));
    expect(cells.filter(({ status }) => status !== "ok").map(({ kind }) => kind)).toEqual(["correction"]);
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
