import { registry } from "../../cells/allKinds.ts";
import { batch } from "../../cells/batch/define.ts";
import { dayPlan } from "../../cells/day-plan/define.ts";
import { jobRecord } from "../../cells/job-record/define.ts";
import { jobSheet } from "../../cells/job-sheet/define.ts";
import { quote } from "../../cells/quote/define.ts";
import type { CellKind, Registry } from "../../src/graph/defineCell.ts";
import type { GraphCell } from "../../src/graph/graphCell.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import type { SettledOutcome } from "../../src/graph/outcome.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { runDirect } from "../../src/workers/direct.ts";

export const jobKinds: readonly CellKind[] = [batch, dayPlan, quote, jobSheet, jobRecord];

/** All kinds, those of the job among them. */
export const jobRegistry: Registry = new Map([
  ...registry,
  ...jobKinds.map((kind) => [kind.kind, kind] as const),
]);

type Parameters = Record<string, unknown>;

/** The invented demo job from its tables, with everything from colour to record; parameters by cell id on top. */
export function jobCells(changes: Readonly<Record<string, Parameters>> = {}): GraphCell[] {
  const { target, parts, demoRecipe, demoRatio, demoPlan, hidingRecipe } = lanternRoom;
  const cell = (id: string, kind: string, title: string, parameters: Parameters, inputs = {}): GraphCell => ({
    id,
    kind,
    title,
    parameters: { ...parameters, ...changes[id] },
    inputs,
  });
  const spectrum = (label: string, wavelengths: Float64Array, values: Float64Array) => ({
    label,
    wavelengths: [...wavelengths],
    values: [...values],
  });
  const amounts = ({ volumes }: typeof demoRecipe) =>
    volumes.map(({ id, volume }) => ({ component: id, volume }));
  return [
    cell("target", "target", target.label, {
      source: "spectrum",
      spectrum: spectrum(target.label, target.wavelengths, target.reflectance),
    }),
    cell("viewing", "viewing", "Viewing", {}),
    cell("rack", "pigment-set", "Rack", { set: "Lantern Room rack" }),
    cell("paints", "pigment-set", "Base paints", { set: "Lantern Room base paints" }),
    ...parts.map((part) =>
      cell(part.id, "substrate", part.name, {
        spectrum: spectrum(part.name, part.wavelengths, part.reflectance),
        area: part.area,
        count: part.count,
      }),
    ),
    cell(
      "ground",
      "basecoat-blend",
      "Ground",
      {
        paints: ["cool-grey", "warm-cream"],
        ratio: demoRatio,
        coats: demoPlan.basecoatCoats,
        wetThickness: demoPlan.basecoatWet,
      },
      { paints: "paints" },
    ),
    cell("plan", "coat-plan", "Coats", {
      lightCoats: demoPlan.lightCoats,
      heavyCoats: demoPlan.heavyCoats,
      lightWet: demoPlan.lightWet,
      heavyWet: demoPlan.heavyWet,
    }),
    cell("red", "recipe", "Red", { amounts: amounts(demoRecipe) }, { pigments: "rack" }),
    cell("grey", "recipe", "Grey", { amounts: amounts(hidingRecipe) }, { pigments: "rack" }),
    cell(
      "cover",
      "coverage",
      "Coverage",
      {},
      {
        recipe: "red",
        plan: "plan",
        parts: parts.map(({ id }) => id),
        viewing: "viewing",
        basecoat: "ground",
        target: "target",
      },
    ),
    cell("batch", "batch", "Batch", {}, { coverage: "cover" }),
    cell("day", "day-plan", "Day", {}, { batch: "batch" }),
    cell("quote", "quote", "Quote", {}, { day: "day", compared: "grey" }),
    cell("sheet", "job-sheet", "Job sheet", {}, { batch: "batch", day: "day", quote: "quote" }),
    cell("record", "job-record", "Record", {}, { batch: "batch" }),
  ];
}

/** Compute cells and hand back their outcomes, and the graph's actions while it lives. */
export async function computed<Result>(
  cells: readonly GraphCell[],
  use: (outcome: (id: string) => SettledOutcome, graph: NotebookGraph) => Result | Promise<Result>,
): Promise<Result> {
  const graph = new NotebookGraph(jobRegistry, runDirect);
  try {
    graph.setCells(cells);
    await graph.settled();
    return await use((id) => graph.outcome(id) as SettledOutcome, graph);
  } finally {
    graph.dispose();
  }
}

/** The value of a cell that must be ok. */
export function okValue<Value>(outcome: SettledOutcome): Value {
  if (outcome.status !== "ok") throw new Error(`not ok: ${outcome.message}`);
  return outcome.value as Value;
}
