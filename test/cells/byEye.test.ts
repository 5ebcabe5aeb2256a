import { describe, expect, test } from "vitest";
import { type ByEye, byEye } from "../../cells/by-eye/define.ts";
import exampleText from "../../data/examples/no-instrument.json?raw";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import type { EyePair, EyePanel } from "../../src/ports/eyePanels.ts";
import { readPanels, writePanels } from "../../src/ports/eyePanelTable.ts";
import { seeTarget } from "../../src/ports/seenTarget.ts";
import { computed } from "./computed.ts";

const example = parseNotebook(exampleText);
const panels = example.cells.find(({ id }) => id === "eye")!.parameters.panels as EyePanel[];
const withPanels = (now: readonly EyePanel[], more: object = {}) =>
  setParameters(example, "eye", { panels: now, ...more });
const linked = (document: NotebookDocument): NotebookDocument => ({
  ...document,
  cells: document.cells.map((cell) =>
    cell.id === "eye" ? { ...cell, inputs: { ...cell.inputs, reading: "reading" } } : cell,
  ),
});
const eyeOf = (graph: Awaited<ReturnType<typeof computed>>) => graph.lastValue("eye") as ByEye;

describe("by eye", async () => {
  const graph = await computed(example);
  const value = eyeOf(graph);
  const { viewing } = graph.lastValue("panel") as Coverage;

  test("the target, seen as the panels were, is the middle of the cloud", () => {
    // identity: the surface that the eye saw is taken off and put on again
    const seen = seeTarget(value, viewing).Lab;
    expect(deltaE2000(seen, value.eye.cloud.Lab.mean)).toBeLessThan(0.01);
    expect(value.kind === "lab" && value.doubt).toBe(value.eye.cloud.within);
  });

  test("it tells of other lights by a curve, with how far others lie from it", () => {
    const curve = value.kind === "lab" ? value.curve : undefined;
    expect(curve?.from).toBe("mixture");
    expect(curve?.lights.find(({ illuminant }) => illuminant === "A")?.ninety).toBeGreaterThan(0);
  });

  test("the recipe behind it takes it as any target", () => {
    expect((graph.lastValue("cover") as Coverage).targetSeen?.label).toBe("The seat pad, by eye");
  });

  test("the cloud shrinks from panel to panel", () => {
    const widths = value.eye.rounds.map(({ within }) => within);
    expect(widths[1]).toBeLessThan(widths[0]);
  });

  test("a later reading takes its place and grades the eye", async () => {
    const graded = eyeOf(await computed(linked(example)));
    expect(graded.kind).toBe("spectrum");
    // identity: two panels of three words each
    expect(graded.eye.gradedWords).toBe(6);
    expect(graded.eye.grade!.held).toBe(true);
    expect(graded.eye.next).toBeUndefined();
  });

  test("panels judged in another light are left out, and it is said", async () => {
    const other = await computed(withPanels([...panels, { ...panels[0], light: "A" }]));
    expect(eyeOf(other).eye.judged.length).toBe(2);
    expect(JSON.stringify(other.outcome("eye"))).toContain("one light for one cloud");
  });

  test("a word that contradicts the others is named", async () => {
    const against: EyePanel = { ...panels[0], steps: [-4, 4, 4] };
    const report = eyeOf(await computed(withPanels([panels[0], panels[0], panels[0], against]))).eye;
    expect(report.cloud.random || report.odd.some(({ panel }) => panel === 3)).toBe(true);
  });

  test("nothing judged is something still to give, not a fault", async () => {
    const outcome = (await computed(withPanels([]))).outcome("eye");
    expect(outcome.status).toBe("error");
    expect(JSON.stringify(outcome)).toContain("No panel is judged yet");
  });

  test("an answer to one more panel takes less than 100 ms of one processor", async () => {
    const inputs = { coverage: graph.lastValue("panel") as Coverage, reading: undefined };
    const initial = Object.fromEntries(
      Object.entries(byEye.parameters).map(([name, spec]) => [name, spec.initial]),
    );
    const spent: number[] = [];
    for (const word of [0, 1, 2, -1, -2] as const) {
      const now = [...panels, { ...panels[1], steps: [word, 0, 0] as EyePanel["steps"] }];
      const before = process.cpuUsage();
      const { reportOf } = await import("../../cells/by-eye/model/report.ts");
      reportOf(inputs.coverage, { ...initial, panels: now } as never, undefined);
      const after = process.cpuUsage(before);
      spent.push((after.user + after.system) / 1000);
    }
    expect(spent.sort((p, q) => p - q)[2]).toBeLessThan(100);
  });
});

describe("panels and words as a table", () => {
  const pairs: EyePair[] = [
    { panel: [45, 50, 25], reference: [46, 48.5, 24], steps: [-2, 1, "cannot judge"] },
  ];
  const open: EyePanel = { ...panels[0], coats: 3, steps: [1, null, null] };
  const text = writePanels([...panels, open], pairs, () => "slightly lighter");

  test("what is written is read again", () => {
    expect(readPanels(text)).toEqual({ panels: [...panels, open], pairs }); // identity
    expect(text).toContain("slightly lighter");
  });

  test.each([
    ["lightness,strength\n1,2", /no column "hue"/],
    ["poured,lightness,strength,hue\npr254:5,1,2,9", /row 1, hue is "9"/],
    ["poured,lightness,strength,hue\npr254,1,2,0", /"pr254" is not component:mL/],
    ["poured,light,lightness,strength,hue\npr254:5,moon,1,2,0", /light is "moon"/],
    ["lightness,strength,hue,panel_L\n1,2,0,40", /panel_a is ""/],
  ])("%s is refused with row and column", (wrong, message) => {
    expect(() => readPanels(wrong)).toThrow(message);
  });
});
