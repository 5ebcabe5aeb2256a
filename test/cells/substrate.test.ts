import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { takenColour } from "../../cells/substrate/view/taken.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { typedLab } from "../../src/exchange/lazyReaders.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { jobCells } from "./jobFixture.ts";

const D65 = weightsFor("1964-10", "D65");
const Lab = (L: number, a: number, b: number) => ({ L, a, b });

async function outcomeOf(parameters: Record<string, unknown>) {
  const graph = new NotebookGraph(registry, runDirect);
  try {
    graph.setCells([{ id: "p", kind: "substrate", title: "Lid", parameters, inputs: {} }]);
    await graph.settled();
    return graph.outcome("p");
  } finally {
    graph.dispose();
  }
}

async function part(parameters: Record<string, unknown>) {
  const outcome = await outcomeOf(parameters);
  if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
  return { value: outcome.value as Substrate, notes: outcome.notes };
}

describe("a part known as Lab", () => {
  // identity: the curve made for a Lab has that Lab
  test.each([
    [Lab(44, 44, 24), "included"],
    [Lab(62, 8, 22), "included"],
    [Lab(21, 0.5, 0), "excluded"],
  ] as const)("%o read %s keeps its Lab", async (given, specular) => {
    const { value } = await part({ Lab: given, specular });
    const shift = specular === "excluded" ? 0.04 : 0;
    const read = value.measured.map((R) => R - shift);
    const own = reflectanceToLab(read, D65, new Float64Array(3));
    expect(deltaE2000(own, [given.L, given.a, given.b])).toBeLessThan(0.01);
    for (const R of value.internal) {
      expect(R).toBeGreaterThanOrEqual(0);
      expect(R).toBeLessThanOrEqual(1);
    }
    expect(value.fromLab?.others.length).toBeGreaterThan(30);
  });

  // source: Saunderson 1942: with k1 = 0.04 nothing reads darker than 4 %, L* 23.7
  test("a reading darker than the surface answers the surface question", async () => {
    const { notes } = await part({ Lab: Lab(21, 0.5, 0), specular: "unknown" });
    expect(notes.join()).toMatch(/taken as read without the surface reflection/);
    const lighter = await part({ Lab: Lab(44, 44, 24), specular: "unknown" });
    expect(lighter.notes.join()).toMatch(/taken as included/);
    const wrong = await outcomeOf({ Lab: Lab(21, 0.5, 0), specular: "included" });
    expect(wrong).toMatchObject({ status: "error", field: "specular" });
  });

  test("a spectrum comes first, a grey last, as before", async () => {
    const grey = await part({ grey: 20 });
    for (const R of grey.value.measured) expect(R).toBeCloseTo(0.2, 12);
    expect(grey.value.fromLab).toBeUndefined();
  });

  test("its doubt reaches the difference: none under a film that hides, more where the part shows", async () => {
    const graph = new NotebookGraph(registry, runDirect);
    try {
      const cells = jobCells();
      const seen = async (coats: number, basecoats: number) => {
        graph.setCells(
          cells.map((cell) => {
            if (cell.kind === "substrate")
              return { ...cell, parameters: { Lab: Lab(62, 8, 22), specular: "included" } };
            if (cell.id === "plan") return { ...cell, parameters: { ...cell.parameters, heavyCoats: coats } };
            if (cell.id === "ground")
              return { ...cell, parameters: { ...cell.parameters, coats: basecoats } };
            return cell;
          }),
        );
        await graph.settled();
        const outcome = graph.outcome("cover");
        if (outcome.status !== "ok") throw new Error(JSON.stringify(outcome));
        return (outcome.value as Coverage).parts[0].LabDoubt!;
      };
      const [thin, covered] = [await seen(1, 0), await seen(3, 3)];
      expect(thin).toBeGreaterThan(0.1);
      expect(covered).toBeLessThan(thin / 3);
    } finally {
      graph.dispose();
    }
  });
});

test("typed LCh becomes the part's Lab; what it leaves unsaid about the surface is not known", async () => {
  const { samples, assumptions } = await typedLab("seat: LCh 44 50 30 (D65/10°)");
  const taken = takenColour(
    { samples, assumptions, from: "typed", conditions: {} },
    { Lab: null, specular: "included" },
  );
  expect(taken).toMatchObject({ spectrum: null, specular: "unknown", Lab: { L: 44, illuminant: "D65" } });
  expect(taken.Lab!.b).toBeCloseTo(25, 3);
});
