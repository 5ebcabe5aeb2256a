import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { mostChroma } from "../../src/colour/surfaceColour.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { runDirect } from "../../src/workers/direct.ts";

// identity: values are made doubtful on purpose. What was saved once opens: its result stands, and the doubt is said.

const nm = Array.from(wavelengths(workingGrid));
const red = Array.from(lanternRoom.target.reflectance);
const spectrum = (values: readonly number[]) => ({ label: "red", wavelengths: nm, values: [...values] });
const put = (value: number) => red.map((old, i) => (i === 10 ? value : old));
const Lab = (L: number, a: number, b: number) => ({ label: "typed", L, a, b });

async function notesOf(kind: string, parameters: Record<string, unknown>): Promise<readonly string[]> {
  const graph = new NotebookGraph(registry, runDirect);
  try {
    graph.setCells([{ id: "one", kind, title: "One", parameters, inputs: {} }]);
    await graph.settled();
    const outcome = graph.outcome("one");
    if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
    return outcome.notes;
  } finally {
    graph.dispose();
  }
}

const jump = /0\.9 stands between .* a jump that no paint makes/;
const impossible = /no colour that a surface can have/;

describe("doubtful values that were saved earlier are marked, never refused", () => {
  test.each<[string, Record<string, unknown>, RegExp]>([
    ["target", { source: "spectrum", spectrum: spectrum(put(0.9)) }, jump],
    ["target", { source: "lab", L: 5, a: 110, b: 0, specular: "excluded" }, impossible],
    ["target", { source: "lab", L: 5, a: 110, b: 0, specular: "excluded", curve: "none" }, impossible],
    [
      "target",
      { source: "spectrum", spectrum: spectrum(red.map(() => 1.1)) },
      /all reflectances are above 1/,
    ],
    [
      "target",
      { source: "spectrum", spectrum: spectrum(red.map(() => -0.005)), specular: "excluded" },
      /all reflectances are below 0/,
    ],
    ["substrate", { spectrum: spectrum(put(0.9)) }, jump],
    ["substrate", { Lab: Lab(30, 0, -127), specular: "excluded" }, /^(?!.*no colour)/],
    ["substrate", { Lab: Lab(6, 80, -80), specular: "excluded" }, impossible],
  ])("%s %#", async (kind, parameters, words) => {
    expect((await notesOf(kind, parameters)).join("\n")).toMatch(words);
  });

  test.each<[string, Record<string, unknown>]>([
    ["target", { source: "spectrum", spectrum: spectrum(red) }],
    ["target", { source: "lab", L: 38.5, a: 49, b: 27 }],
    ["substrate", { spectrum: spectrum(red) }],
    ["substrate", { Lab: Lab(44, 44, 24) }],
  ])("good values of a %s are left in peace %#", async (kind, parameters) => {
    const notes = (await notesOf(kind, parameters)).join("\n");
    expect(notes).not.toMatch(jump);
    expect(notes).not.toMatch(impossible);
  });

  test("every surface of the open data lies within the bound on chroma", () => {
    // source: the measured and modelled colours of the demo lie far inside; MacAdam 1935 for the optimal colours (from
    // memory): the deepest blue and the brightest yellow that any surface can have still fit.
    for (const [L, C] of [
      [25, 130],
      [32, 110],
      [95, 120],
      [88, 115],
      [53, 110],
    ])
      expect(C).toBeLessThanOrEqual(mostChroma(L));
  });
});
