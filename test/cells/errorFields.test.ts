import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { type NotebookCell, type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { sampleCircle } from "../../src/photo/circleSample.ts";
import { statisticsToKeep } from "../../src/photo/keptPhoto.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { cases } from "../howMuch.ts";
import { seatPhotograph, seatPlaces } from "../photo/seatScene.ts";

const folder = "data/examples";
const documents = readdirSync(folder)
  .filter((file) => file.endsWith(".json"))
  .map((file) => parseNotebook(readFileSync(join(folder, file), "utf8")));

/** Kinds whose faults are to name their field. */
const kinds = ["photo", "substrate", "one-drop"];

/** Each number at an end of its range or anywhere in it, each choice any of its options. */
function drawn(kind: string, random: () => number): Record<string, unknown> {
  const values: Record<string, unknown> = {};
  for (const [name, parameter] of Object.entries(registry.get(kind)!.parameters)) {
    if (random() < 0.3) continue;
    if (parameter.type === "number") {
      const { min = 0, max = 1 } = parameter;
      const draw = random();
      const value = draw < 0.3 ? min : draw < 0.6 ? max : min + (max - min) * random();
      values[name] = parameter.whole ? Math.round(value) : value;
    } else if (parameter.type === "choice") {
      const { options } = parameter;
      values[name] = options[Math.floor(options.length * random())].value;
    }
  }
  return values;
}

/** A cell and all that it is computed from. */
function behind({ cells }: NotebookDocument, id: string): NotebookCell[] {
  const wanted = new Set([id]);
  for (const one of wanted)
    for (const giver of Object.values(cells.find((cell) => cell.id === one)!.inputs).flat())
      wanted.add(giver);
  return cells.filter((cell) => wanted.has(cell.id));
}

const seat = seatPhotograph();

/** A photograph with circles of any role in any place that is measured, and patches of any Lab. */
function drawnPhoto(random: () => number): Record<string, unknown> {
  const { width, height, space } = seat;
  const places = Object.values(seatPlaces).filter((place) => random() < 0.9 || place === seatPlaces.seat);
  const circles = places.map((place, i) => ({
    id: `c${i}`,
    role:
      place === seatPlaces.seat
        ? "part"
        : random() < 0.5
          ? "card"
          : ["card", "patch", "part"][Math.floor(3 * random())],
    label: `circle ${i}`,
    ...place,
    sample: statisticsToKeep(sampleCircle(seat, place)),
    Lab: [100 * random(), 240 * random() - 120, 240 * random() - 120],
  }));
  const from = { width, height };
  const data = "data:image/png;base64,AAAA"; // the circles are sampled already
  return { picture: { data, width, height, space, name: "invented.png", from }, circles };
}

describe("settings anywhere in their ranges", () => {
  test.each(kinds)("%s: a fault names its field and a way out", async (kind) => {
    const random = seededRandom(11);
    const withKind = documents.filter(({ cells }) => cells.some((cell) => cell.kind === kind));
    let [faults, computed] = [0, 0];
    for (let k = 0; k < cases(150, 10); k++) {
      const document: NotebookDocument = withKind[Math.floor(withKind.length * random())];
      const at = document.cells.findLastIndex((cell) => cell.kind === kind);
      const cells = behind(document, document.cells[at].id).map((cell) => {
        if (cell.id !== document.cells[at].id) return cell;
        const spectrum =
          kind === "substrate" && random() < 0.5
            ? {
                label: "drawn",
                wavelengths: Array.from({ length: 36 }, (_, j) => 380 + 10 * j),
                values: Array.from({ length: 36 }, () => 1.21 * random() - 0.01),
              }
            : null;
        const more = kind === "substrate" ? { spectrum } : kind === "photo" ? drawnPhoto(random) : {};
        return { ...cell, parameters: { ...cell.parameters, ...more, ...drawn(kind, random) } };
      });
      const graph = new NotebookGraph(registry, runDirect);
      graph.setCells(cells);
      await graph.settled();
      const outcome = graph.outcome(document.cells[at].id as never);
      graph.dispose();
      if (outcome?.status === "ok") computed++;
      if (outcome?.status !== "error") continue;
      faults++;
      expect(outcome.bug, outcome.message).toBe(false);
      expect([outcome.message, outcome.field, outcome.wayOut]).toEqual([
        outcome.message,
        expect.any(String),
        expect.any(String),
      ]);
    }
    console.log(
      `${kind}: ${cases(150, 10)} drawn settings, ${computed} computed, ${faults} faults, each with its field`,
    );
    expect(computed).toBeGreaterThan(0);
    expect(faults).toBeGreaterThan(0);
  });
});
