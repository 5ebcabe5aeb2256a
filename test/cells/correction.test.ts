import { describe, expect, test } from "vitest";
import { type CorrectedPot, worstOf } from "../../cells/correction/define.ts";
import exampleText from "../../data/examples/put-a-mix-right.json?raw";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import { specularWords } from "../../src/ports/specularParameter.ts";
import { computed } from "./computed.ts";

const example = parseNotebook(exampleText);

describe("correction by additions, in the notebook", () => {
  test("nothing is taken out, the difference falls, and what was really in the pot comes on target", async () => {
    // A strict eye: with the usual tolerance of 1 a correction ends as soon as it passes.
    const viewing = example.cells.find(({ kind }) => kind === "viewing")!.id;
    const graph = await computed(setParameters(example, viewing, { tolerance: 0.3 }));
    const { correction, pot, components } = graph.lastValue("put-right") as CorrectedPot;
    const additions = correction.additions!;
    expect(additions.volumes.every((volume) => volume >= 0)).toBe(true); // identity: additions only
    const before = Math.max(...correction.differencesBefore.map((row) => row[0]));
    const after = Math.max(...additions.differences.map((row) => row[0]));
    expect(after).toBeLessThan(before / 5);
    expect(additions.growth).toBeLessThanOrEqual(0.5 + 1e-9);

    // independent: the pot that the panel was really made from (known here alone), with the additions in it, seen afresh
    const real: Record<string, number> = { pr254: 13.2, po73: 4.9, pw6: 0.45, binder: 79.5 };
    const total = Object.values(real).reduce((sum, volume) => sum + volume, 0);
    const amounts = components.flatMap(({ id }, j) => {
      const volume = ((real[id] ?? 0) * 250) / total + additions.volumes[j];
      return volume > 0 ? [{ component: id, volume }] : [];
    });
    const mended = (await computed(setParameters(example, "red", { amounts }))).lastValue(
      "cover",
    ) as Coverage;
    const worst = Math.max(...mended.parts.map((part) => part.painted.difference!));
    // The panel was read with a ripple of 1 % that the pot does not have, so the prediction is not met to the last digit.
    expect(worst).toBeLessThan(0.6);
    expect(worst).toBeLessThan(before / 2.5);
    expect(pot.reduce((sum, volume) => sum + volume, 0)).toBeCloseTo(250, 9);
  });

  test("with the usual tolerance it adds no more than it takes to pass, less the doubt", async () => {
    const { correction, coverage } = (await computed(example)).lastValue("put-right") as CorrectedPot;
    expect(correction.tolerance).toBe(coverage.viewing.tolerance);
    expect(correction.additions!.objective).toBeLessThanOrEqual(correction.aim);
    expect(worstOf(correction.additions!.differences)).toBeLessThanOrEqual(correction.aim);
    // identity: what fewer pours do is among all ways, so that it never adds less
    for (const way of correction.byPours) {
      if (way.objective <= correction.aim)
        expect(way.growth).toBeGreaterThanOrEqual(correction.additions!.growth);
    }
  });

  test("a panel too dark and too blue for additions: only a new mix", async () => {
    const graph = await computed(
      setParameters(example, "put-right", {
        panel: "lab",
        specular: "excluded",
        L: 20,
        a: 8,
        b: -6,
        maxGrowth: 30,
      }),
    );
    const { correction, newMix } = graph.lastValue("put-right") as CorrectedPot;
    expect(newMix || correction.status === "refused").toBe(true);
    expect(correction.reason).toMatch(/too dark, too dull and too blue/);
  });

  // identity: one instrument reads target and panel alike
  test.each(["included", "excluded"])("a panel is read as the target was, %s", async (specular) => {
    const read = async (answer: string) => {
      const target = example.cells.find(({ kind }) => kind === "target")!.id;
      const graph = await computed(
        setParameters(setParameters(example, target, { specular }), "put-right", {
          panel: "lab",
          specular: answer,
          L: 40,
          a: 45,
          b: 25,
        }),
      );
      return (graph.lastValue("put-right") as CorrectedPot).panelLab;
    };
    const [own, other] = [specular, specular === "included" ? "excluded" : "included"];
    expect(await read("as target")).toEqual(await read(own));
    expect(await read("as target")).not.toEqual(await read(other));
  });

  test.each([
    ["no panel yet", { panel: "none" }, "panel", /not measured yet/],
    ["no Lab yet", { panel: "lab", awaited: true }, "panel", /not typed yet/],
    ["no spectrum", { spectrum: null }, "spectrum", /No spectrum/],
    ["a part that is not there", { panelPart: 9 }, "panelPart", /no part number 9/],
    ["an unknown paste in the pot", { pot: [{ component: "gold", volume: 1 }] }, "pot", /"gold"/],
    ["an empty pot", { pot: [{ component: "binder", volume: 0 }] }, "pot", /empty/],
  ])("%s: the message names the field", async (_, patch, field, message) => {
    const graph = await computed(setParameters(example, "put-right", patch));
    const outcome = graph.outcome("put-right");
    expect(outcome).toMatchObject({ status: "error", field, bug: false });
    expect((outcome as { message: string }).message).toMatch(message);
  });

  // identity: the doubt is the hypotenuse of that of the reading and that of the prediction
  test("an instrument that scatters more leaves less of the tolerance to aim at", async () => {
    const target = example.cells.find(({ kind }) => kind === "target")!.id;
    const doubtOf = async (spread: number | null) =>
      ((await computed(setParameters(example, target, { spread }))).lastValue("put-right") as CorrectedPot)
        .correction;
    const [none, some, more] = [await doubtOf(null), await doubtOf(0), await doubtOf(0.4)];
    expect(more.doubt).toBeCloseTo(Math.hypot(some.doubt, 0.4), 9);
    expect(none.doubt).toBeGreaterThan(some.doubt);
    expect(more.aim).toBeLessThan(some.aim);
  });

  // identity: a Lab stated for the light and observer of the viewing cell is that Lab, said or not
  test("a Lab that is stated for other conditions than the viewing cell's is brought there by a curve", async () => {
    const Lab = { panel: "lab", specular: "included", L: 40, a: 45, b: 25 };
    const read = async (readFor: unknown) =>
      (
        (await computed(setParameters(example, "put-right", { ...Lab, readFor }))).lastValue(
          "put-right",
        ) as CorrectedPot
      ).panelLab;
    const plain = await read(null);
    expect(await read({ illuminant: "D65", observer: "1964-10" })).toEqual(plain);
    const other = await read({ illuminant: "A", observer: "1931-2" });
    // A red read under the light of lamps is less red in daylight (from memory: colour constancy of reds).
    expect(other[1]).toBeLessThan(plain[1] - 1);
  });

  // identity: the ledger keeps what the instrument said, for the light and observer it said it for
  test("what is handed to the ledger keeps the conditions of the reading", async () => {
    const stated = { illuminant: "A", observer: "1931-2" };
    const Lab = { panel: "lab", specular: "included", L: 40, a: 45, b: 25, readFor: stated };
    const { read } = (await computed(setParameters(example, "put-right", Lab))).lastValue(
      "put-right",
    ) as CorrectedPot;
    expect(read.reading).toMatchObject({ kind: "lab", Lab: [40, 45, 25], ...stated });
  });
});

// identity: the words say what specularOf takes
test.each([
  [
    "as target",
    { specular: "excluded", readWith: "Pocket sensor" },
    "without the surface reflection, as the target was, with Pocket sensor.",
  ],
  ["as target", undefined, "with the surface reflection: no target"],
  ["included", { specular: "excluded" }, "with the surface reflection, as was said here."],
] as const)("how a panel is taken to have been read: %s", (answer, target, words) => {
  expect(specularWords(answer, target)).toContain(words);
});
