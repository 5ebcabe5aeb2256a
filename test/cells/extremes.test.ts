import { describe, expect, test } from "vitest";
import { registry as kinds } from "../../cells/allKinds.ts";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import type { CellKind, Registry } from "../../src/graph/defineCell.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { InputError } from "../../src/graph/outcome.ts";
import type { ParameterSpec } from "../../src/graph/parameters.ts";
import { cases } from "../howMuch.ts";

const notebooks = Object.entries(
  import.meta.glob<string>("../../data/examples/*.json", { query: "?raw", import: "default", eager: true }),
).map(([path, text]) => [path.replace(/.*\//, ""), parseNotebook(text)] as const);

// common practice: no cell holds its thread for longer. The processor's own time, so that other work on the machine is not
// counted.
const longest = 2000;
const all = 5000;
const seed = Number(process.env.BOLE_SEED ?? 13);

/** The kinds as they are, each compute timed. */
function timed(slow: (kind: string, ms: number) => void): Registry {
  return new Map(
    [...kinds].map(([name, kind]): [string, CellKind] => [
      name,
      {
        ...kind,
        compute: (inputs, parameters, context) => {
          const before = process.cpuUsage();
          try {
            return kind.compute(inputs, parameters, context);
          } finally {
            const { user, system } = process.cpuUsage(before);
            if ((user + system) / 1000 > longest) slow(name, (user + system) / 1000);
          }
        },
      },
    ]),
  );
}

/** A setting within what is allowed, often at its very end. */
function drawn(spec: ParameterSpec, random: () => number): unknown {
  if (spec.type === "toggle") return random() < 0.5;
  if (spec.type === "choice") return spec.options[Math.floor(random() * spec.options.length)].value;
  if (spec.type !== "number") return undefined;
  const { min, max, whole } = spec;
  const where = random();
  const share = where < 0.2 ? 0 : where < 0.4 ? 1 : where < 0.6 ? random() ** 6 : random();
  const value = min + share * (max - min);
  return whole ? Math.round(value) : value;
}

/** The notebook with some settings of one cell drawn anew. */
function changed(
  document: NotebookDocument,
  random: () => number,
): { document: NotebookDocument; what: string } {
  const at = Math.floor(random() * document.cells.length);
  const cell = document.cells[at];
  const specs = Object.entries(kinds.get(cell.kind)?.parameters ?? {});
  const share = random();
  const patch = Object.fromEntries(
    specs.flatMap(([name, spec]) => {
      const value = random() < share ? drawn(spec, random) : undefined;
      return value === undefined ? [] : [[name, value]];
    }),
  );
  const cells = document.cells.map((one, i) =>
    i === at ? { ...one, parameters: { ...one.parameters, ...patch } } : one,
  );
  return { document: { ...document, cells }, what: `${cell.id}: ${JSON.stringify(patch)}` };
}

/** Where a figure that is no number stands in a summary. */
function strange(value: unknown, path: string): string[] {
  if (typeof value === "number") return Number.isFinite(value) ? [] : [`${path} = ${value}`];
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, part]) => strange(part, `${path}.${key}`));
}

/** Amounts, times and lengths are never below nothing. */
const neverNegative = new Set(["g", "mL", "L", "kg", "min", "h", "m²", "drops", "µm", "mL/m²", "g/m²"]);

describe("settings at the ends of what is allowed", () => {
  test.each(notebooks)("%s", { timeout: 3_600_000 }, async (name, document) => {
    const random = seededRandom(seed + name.length);
    const found: string[] = [];
    let computed = 0;
    let what = "as it is";
    const registry = timed((kind, ms) => found.push(`${kind} takes ${ms.toFixed(0)} ms with ${what}`));
    const noLongTasks = () => Promise.reject(new InputError("Long tasks are left out here"));
    const graph = new NotebookGraph(registry, noLongTasks);
    const count = cases(Math.ceil(all / notebooks.length), 20);
    for (let k = 0; k < count; k++) {
      const next = changed(document, random);
      what = next.what;
      graph.setCells(next.document.cells);
      await graph.settled();
      for (const { id, kind } of next.document.cells) {
        const outcome = graph.outcome(id);
        if (outcome.status === "error" && outcome.bug) found.push(`${id}: ${outcome.message} with ${what}`);
        if (outcome.status !== "ok") continue;
        computed++;
        const { summarise, quantities } = kinds.get(kind)!;
        found.push(...strange(summarise?.(outcome.value), id).map((text) => `${text} with ${what}`));
        for (const { name: quantity, value, unit } of quantities?.(outcome.value) ?? []) {
          if (value === undefined) continue;
          if (!Number.isFinite(value) || (neverNegative.has(unit) && value < 0)) {
            found.push(`${id}, ${quantity} = ${value} ${unit} with ${what}`);
          }
        }
      }
    }
    graph.dispose();
    // Many cells of most settings have a result to look at.
    expect(computed).toBeGreaterThan(0.3 * count * document.cells.length);
    expect([...new Set(found)].slice(0, 20)).toEqual([]);
  });
});
