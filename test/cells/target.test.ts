import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import type { TargetValue } from "../../cells/target/define.ts";
import { takenColours } from "../../cells/target/view/taken.ts";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { LabToXYZ, reflectanceToLab, XYZToLab } from "../../src/colour/Lab.ts";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setLinks, setParameters } from "../../src/document/operations.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import { readColourFile } from "../../src/exchange/readColourFile.ts";
import { readLabText } from "../../src/exchange/readLab.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Outcome } from "../../src/graph/outcome.ts";
import { bothWays } from "../../src/ports/statedLab.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { type ReadingHabit, withHabit } from "../../src/tables/readingHabit.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { runDirect } from "../../src/workers/direct.ts";

const nm = Array.from(wavelengths(workingGrid));
const red = Array.from(lanternRoom.target.reflectance);
const LabOf = (values: ArrayLike<number>, illuminant = "D65") =>
  reflectanceToLab(values, weightsFor("1964-10", illuminant), new Float64Array(3));

/** Outcome of a target cell by itself, or linked to the Lantern Room rack. */
async function outcomeOf(
  parameters: Record<string, unknown>,
  withRack = false,
): Promise<Outcome<TargetValue>> {
  const graph = new NotebookGraph(registry, runDirect);
  try {
    graph.setCells([
      {
        id: "rack",
        kind: "pigment-set",
        title: "Rack",
        parameters: { set: "Lantern Room rack" },
        inputs: {},
      },
      { id: "t", kind: "target", title: "T", parameters, inputs: withRack ? { pigments: "rack" } : {} },
    ]);
    await graph.settled();
    return graph.outcome("t") as Outcome<TargetValue>;
  } finally {
    graph.dispose();
  }
}

async function computed(parameters: Record<string, unknown>, withRack = false) {
  const outcome = await outcomeOf(parameters, withRack);
  if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
  return { value: outcome.value, notes: outcome.notes };
}

const reading = (label: string, values: number[]) => ({
  kind: "spectrum",
  label,
  wavelengths: nm,
  values,
  specular: "included",
});

describe("several readings", () => {
  const scaled = (factor: number) => red.map((value) => value * factor);
  const readings = [
    reading("a", scaled(1.01)),
    reading("b", scaled(0.99)),
    reading("c", scaled(1)),
    reading("astray", scaled(1.5)),
  ];

  test("their mean, without the one that does not belong to them, which is named", async () => {
    const { value, notes } = await computed({ readings });
    if (value.kind !== "spectrum") throw new Error("no spectrum");
    // identity: the mean of 0.99, 1 and 1.01 times a curve is the curve
    value.reflectance.forEach((v, i) => expect(v).toBeCloseTo(red[i], 12));
    expect(value.readings!.statistics.outliers).toEqual([3]);
    expect(notes.join("\n")).toMatch(/astray does not belong to the others .*: left out/);
  });

  test("mean difference from the mean, by its definition", async () => {
    const { value } = await computed({ readings: readings.slice(0, 3) });
    const Labs = readings.slice(0, 3).map(({ values }) => LabOf(values));
    const mean = [0, 1, 2].map((i) => (Labs[0][i] + Labs[1][i] + Labs[2][i]) / 3);
    const MCDM = Labs.reduce((sum, Lab) => sum + deltaE2000(mean, Lab), 0) / 3;
    expect(value.readings!.statistics.meanDifference).toBeCloseTo(MCDM, 12); // identity: definition
    expect(MCDM).toBeGreaterThan(0.05);
  });

  test("the odd one counts when the person says so", async () => {
    const { value, notes } = await computed({ readings, outliers: "count" });
    if (value.kind !== "spectrum") throw new Error("no spectrum");
    expect(value.reflectance[20]).toBeCloseTo(red[20] * (4.5 / 4), 12); // identity: mean of four factors
    expect(notes.join("\n")).toMatch(/counted all the same/);
  });

  test("Lab readings are averaged axis by axis; spectra and Lab together are refused", async () => {
    const lab = (label: string, Lab: number[]) => ({ kind: "lab", label, Lab });
    const { value } = await computed({
      source: "lab",
      readings: [lab("1", [40, 50, 30]), lab("2", [42, 50, 28])],
    });
    expect(value.kind === "lab" && [...value.Lab]).toEqual([41, 50, 29]);
    const mixed = await outcomeOf({ source: "lab", readings: [lab("1", [40, 50, 30]), readings[0]] });
    expect(mixed).toMatchObject({ status: "error", field: "readings" });
  });

  test("what was done to all of them on the way to the grid is told once", async () => {
    const even = (label: string) => ({
      ...reading(
        label,
        [...Array(16).keys()].map((i) => 0.3 + i / 100),
      ),
      wavelengths: [...Array(16).keys()].map((i) => 400 + 20 * i),
    });
    const { notes } = await computed({ readings: [even("a"), even("b"), even("c")] });
    expect(notes.filter((note) => note.startsWith("every reading: interpolated"))).toHaveLength(1);
  });
});

describe("surface reflection", () => {
  const spectrum = { label: "red", wavelengths: nm, values: red };

  test("taken off by k1, with a warning; and put back it is what it was", async () => {
    const { value, notes } = await computed({ spectrum, handOn: "excluded" });
    if (value.kind !== "spectrum") throw new Error("no spectrum");
    // identity: under the interface model the two modes differ by k1 (Saunderson 1942)
    value.reflectance.forEach((v, i) => expect(v).toBeCloseTo(red[i] - 0.04, 12));
    expect(value.specular).toBe("excluded");
    expect(notes.join("\n")).toMatch(/right for a glossy surface only/);
    const back = await computed({
      spectrum: { ...spectrum, values: [...value.reflectance] },
      specular: "excluded",
      handOn: "included",
    });
    if (back.value.kind !== "spectrum") throw new Error("no spectrum");
    back.value.reflectance.forEach((v, i) => expect(v).toBeCloseTo(red[i], 12));
  });

  test("a Lab carried over is the Lab of the spectrum carried over", async () => {
    const [L, a, b] = LabOf(red);
    const { value } = await computed({ source: "lab", L, a, b, handOn: "excluded" });
    const direct = LabOf(red.map((v) => v - 0.04));
    // identity: a constant taken off a reflectance takes the same share of white off XYZ
    if (value.kind !== "lab") throw new Error("no Lab");
    value.Lab.forEach((v, i) => expect(v).toBeCloseTo(direct[i], 9));
  });

  test("a reading below k1 looks as if the reflection were excluded, and is told so", async () => {
    const dark = { ...spectrum, values: red.map((v) => v - 0.03) };
    const { notes } = await computed({ spectrum: dark });
    expect(notes.join("\n")).toMatch(/looks like specular excluded: 2\.0 % at 530 nm/);
    expect((await computed({ spectrum: dark, specular: "excluded" })).notes).toEqual([]);
  });
});

describe("a curve for a Lab", () => {
  const [L, a, b] = [41, 50, 28];

  test("Lab alone by default: no curve is made up", async () => {
    const { value } = await computed({ source: "lab", L, a, b });
    expect(value.kind === "lab" && value.curve).toBeUndefined();
  });

  test.each(["smoothest", "mixture"] as const)(
    "%s: has the Lab exactly, and lies above k1",
    async (curve) => {
      const { value } = await computed({ source: "lab", L, a, b, curve }, true);
      if (value.kind !== "lab" || !value.curve) throw new Error("no curve");
      expect(value.curve.from).toBe(curve);
      expect(deltaE2000([L, a, b], LabOf(value.curve.reflectance))).toBeLessThan(0.01); // identity: by construction
      expect(Math.min(...value.curve.reflectance)).toBeGreaterThan(0.04);
      for (const { illuminant, Lab, median, ninety } of value.curve.lights) {
        const own = LabOf(value.curve.reflectance, illuminant);
        own.forEach((v, i) => expect(Lab[i]).toBeCloseTo(v, 9));
        expect(median).toBeGreaterThan(0);
        expect(ninety).toBeGreaterThanOrEqual(median);
      }
      expect(value.curve.lights.map(({ illuminant }) => illuminant)).not.toContain("D65");
    },
  );

  test("of a mixture's own Lab the mixture's curve comes nearer under A than the smoothest", async () => {
    const truth = red;
    const [l, x, y] = LabOf(truth);
    const under = async (curve: string) => {
      const { value } = await computed({ source: "lab", L: l, a: x, b: y, curve }, true);
      return deltaE2000(
        LabOf(truth, "A"),
        LabOf((value as { curve: { reflectance: Float64Array } }).curve.reflectance, "A"),
      );
    };
    // common practice: a colour made of the same pastes is better described by them
    expect(await under("mixture")).toBeLessThan(await under("smoothest"));
  });

  test("without a linked set the smoothest is taken, and it is said", async () => {
    const { value, notes } = await computed({ source: "lab", L, a, b, curve: "mixture" });
    expect(value.kind === "lab" && value.curve?.from).toBe("smoothest");
    expect(notes.join("\n")).toMatch(/No pigment set is linked/);
  });

  test("a Lab that no surface has is told, with the nearest", async () => {
    const { notes } = await computed({ source: "lab", L: 30, a: 110, b: 90, curve: "smoothest" });
    expect(notes.join("\n")).toMatch(/No surface can have this Lab/);
  });

  test("the rest of the notebook goes on in Lab; other lights follow the curve and say that it is one of many", async () => {
    const [l, x, y] = LabOf(red);
    const demo = parseNotebook(lanternRoomText);
    const as = (curve: string) => {
      const lab = setParameters(demo, "target", { source: "lab", L: l, a: x, b: y, curve });
      return setLinks(lab, "target", "pigments", ["rack"]);
    };
    const compute = async (document = demo) => {
      const graph = new NotebookGraph(registry, runDirect);
      graph.setCells(document.cells);
      await graph.settled();
      const found = { cover: graph.outcome("cover"), lights: graph.outcome("lights") };
      graph.dispose();
      return found as {
        cover: Outcome<{
          parts: { painted: { difference: number } }[];
          targetSeen: { reflectance?: unknown };
        }>;
        lights: Outcome;
      };
    };
    const measured = await compute();
    const plain = await compute(as("none"));
    const withCurve = await compute(as("mixture"));
    if (measured.cover.status !== "ok" || withCurve.cover.status !== "ok") throw new Error("not computed");
    expect(withCurve.cover.value.targetSeen.reflectance).toBeUndefined();
    // identity: the Lab is that of the spectrum, so the differences are the same
    withCurve.cover.value.parts.forEach((part, i) =>
      expect(part.painted.difference).toBeCloseTo(
        (measured.cover as { value: { parts: { painted: { difference: number } }[] } }).value.parts[i].painted
          .difference,
        6,
      ),
    );
    expect(plain.lights).toMatchObject({ status: "error" });
    expect(withCurve.lights.status).toBe("ok");
    expect(withCurve.lights.status === "ok" && withCurve.lights.notes.join("\n")).toMatch(/one of many/);
  });

  test("a Lab stated for another light than the main one is carried over by its curve, and refused without one", async () => {
    const [l, x, y] = LabOf(red, "A");
    const demo = parseNotebook(lanternRoomText);
    const seen = async (curve: string) => {
      const document = setParameters(demo, "target", {
        source: "lab",
        L: l,
        a: x,
        b: y,
        illuminant: "A",
        curve,
      });
      const graph = new NotebookGraph(registry, runDirect);
      graph.setCells(document.cells);
      await graph.settled();
      const outcomes = { red: graph.outcome("red"), cover: graph.outcome("cover") };
      graph.dispose();
      return outcomes as { red: Outcome; cover: Outcome<{ targetSeen: { Lab: Float64Array } }> };
    };
    expect((await seen("none")).red).toMatchObject({ status: "error", field: "target" });
    const { cover: outcome } = await seen("smoothest");
    if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
    const truth = LabOf(red.map((v) => v - 0.03)); // sheen 0.25 of k1 is left
    // One of many: not the true colour, but within what reds of one Lab differ by from A to D65.
    expect(deltaE2000(truth, outcome.value.targetSeen.Lab)).toBeLessThan(2);
  });
});

describe("what a file leaves unsaid", () => {
  const present = { specular: "excluded", illuminant: "FL11", observer: "1931-2" } as never;
  const take = (name: string, text: string) => {
    const { samples, assumptions } = readColourFile(name, text);
    return takenColours({ samples, assumptions, from: name, conditions: {} }, present);
  };

  test("a spectrum without a word on the reflection: the cell's answer stays, and the question with it", async () => {
    const patch = take("a.csv", `nm,R\n${nm.map((at, i) => `${at},${red[i]}`).join("\n")}\n`);
    expect(patch).toMatchObject({ source: "spectrum", unsaid: ["specular"], readings: [] });
    expect(patch.specular).toBeUndefined();
    expect(patch.assumptions!.join("\n")).toMatch(/fields separated by commas/);
    const { notes } = await computed({ ...patch, specular: "excluded" });
    expect(notes.join("\n")).toMatch(
      /does not say whether the surface reflection is included: excluded is taken/,
    );
  });

  test("a Lab that says all is taken with all it says", () => {
    const patch = take(
      "a.csv",
      "# illuminant D50, 2 degree, specular excluded\nname,L*,a*,b*\nred,43,51,28\n",
    );
    expect(patch).toMatchObject({
      source: "lab",
      L: 43,
      a: 51,
      b: 28,
      illuminant: "D50",
      observer: "1931-2",
      specular: "excluded",
      unsaid: [],
    });
  });

  test("a bare Lab asks for light, observer and reflection", () => {
    const { samples, assumptions } = readLabText("43 51 28", "typed");
    const patch = takenColours({ samples, assumptions, from: "typed", conditions: {} }, present);
    expect(patch.unsaid).toEqual(["specular", "illuminant", "observer"]);
    expect(patch).toMatchObject({ illuminant: "FL11", observer: "1931-2" });
  });

  test("a named instrument answers for it, and the target says which it was", async () => {
    const { samples, assumptions } = readLabText("43 51 28", "typed");
    const habit: ReadingHabit = {
      name: "Pocket sensor",
      illuminant: "D65",
      observer: "1964-10",
      specular: "excluded",
    };
    const filled = samples.map((sample) => withHabit(sample, habit));
    const patch = takenColours(
      { samples: filled, assumptions, from: "typed", conditions: {}, habit },
      present,
    );
    expect(patch).toMatchObject({
      ...{ illuminant: "D65", observer: "1964-10", specular: "excluded" },
      unsaid: [],
    });
    const { value } = await computed(patch);
    expect(value).toMatchObject({ specular: "excluded", readWith: "Pocket sensor" });
    // An instrument of which nobody knows is no open question any more: the colour itself is asked.
    const open: ReadingHabit = { ...habit, specular: "unknown" };
    const unknown = samples.map((sample) => withHabit(sample, open));
    expect(
      takenColours({ samples: unknown, assumptions, from: "typed", conditions: {}, habit: open }, present),
    ).toMatchObject({ specular: "unknown", unsaid: [] });
  });

  test("nobody knows: a black tells, a light colour is taken as included, and both are said", async () => {
    // source: Saunderson 1942: with the surface counted in nothing reads below k1 = 0.04, L* 23.7
    const black = await computed({ source: "lab", L: 18, a: 0, b: 0, specular: "unknown" });
    expect(black.value.specular).toBe("excluded");
    expect(black.notes.join("\n")).toContain("below the 4.0 % that the surface alone reflects");
    const red = await computed({ source: "lab", L: 60, a: 10, b: 10, specular: "unknown" });
    expect(red.value.specular).toBe("included");
    expect(red.notes.join("\n")).toContain("the colour does not tell");
  });

  test("what either answer would mean: the surface adds k1 to every share of the white", () => {
    const weights = weightsFor("1964-10", "D65");
    const { ifIncluded, ifExcluded, apart } = bothWays([40, 45, 25], weights, 0.04);
    // identity: what was taken off, put back
    const XYZ = LabToXYZ(ifIncluded!, weights.white, new Float64Array(3)).map(
      (v, i) => v + 0.04 * weights.white[i],
    );
    XYZToLab(XYZ, weights.white, new Float64Array(3)).forEach((v, i) =>
      expect(v).toBeCloseTo([40, 45, 25][i], 9),
    );
    expect([...ifExcluded]).toEqual([40, 45, 25]);
    expect(apart).toBeGreaterThan(3);
    expect(bothWays([18, 0, 0], weights, 0.04).ifIncluded).toBeUndefined();
  });

  test("XYZ becomes Lab by the light and observer that were asked for", () => {
    const { samples, assumptions } = readColourFile("x.csv", "name,X,Y,Z\nred,20,12,5\n");
    const conditions = { illuminant: "D65", observer: "1964-10" };
    const patch = takenColours({ samples, assumptions, from: "x.csv", conditions }, present);
    const { Lab } = previewOf({ ...samples[0], ...conditions } as never);
    expect([patch.L, patch.a, patch.b]).toEqual([...Lab]);
    expect(() => takenColours({ samples, assumptions, from: "x.csv", conditions: {} }, present)).toThrow(
      /XYZ means nothing without its light/,
    );
  });

  test("several samples become readings, each as it was on its own wavelengths", async () => {
    const patch = take(
      "two.csv",
      `# SCI\nnm,a,b\n${nm.map((at, i) => `${at},${red[i]},${red[i] / 2}`).join("\n")}\n`,
    );
    expect(patch).toMatchObject({ source: "spectrum", specular: "included", unsaid: [] });
    expect(patch.readings!.map(({ label }) => label)).toEqual(["a", "b"]);
    const { value } = await computed(patch);
    expect(value.kind === "spectrum" && value.reflectance[3]).toBeCloseTo(0.75 * red[3], 12); // identity: mean
  });
});

test("targets saved before there were readings, assumptions and curves compute as before", async () => {
  const { value, notes } = await computed({
    source: "spectrum",
    spectrum: { label: "old", origin: "somewhere", wavelengths: nm, values: red },
    L: 40,
    a: 50,
    b: 30,
    illuminant: "D65",
    observer: "1964-10",
    specular: "included",
  });
  expect(value.kind === "spectrum" && [...value.reflectance]).toEqual(red);
  expect(notes).toEqual([]);
  const lab = await computed({ source: "lab", spectrum: null, L: 40, a: 50, b: 30, specular: "excluded" });
  expect(lab.value).toMatchObject({
    kind: "lab",
    illuminant: "D65",
    observer: "1964-10",
    specular: "excluded",
  });
});
