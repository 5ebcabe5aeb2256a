import type { Calibration } from "../../cells/calibration/define.ts";
import roseText from "../../data/examples/drawdowns-rose.csv?raw";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { type KeptDrawdowns, keptDrawdowns } from "../../src/drawdowns/keptTable.ts";
import type { SettledOutcome } from "../../src/graph/outcome.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { computed } from "./computed.ts";

/** A fresh copy of the example's table. */
export const roseTable = (): KeptDrawdowns => keptDrawdowns(readDrawdownFile(roseText, "rose.csv"));

/** A notebook of a rack, a light, and one calibration. */
export function calibrationNotebook(parameters: object, rack: object = {}): NotebookDocument {
  return {
    format: "bole-notebook",
    version: 2,
    title: "A new paste",
    cells: [
      { id: "viewing", kind: "viewing", title: "Light", parameters: {}, inputs: {} },
      { id: "rack", kind: "pigment-set", title: "The rack", parameters: { ...rack }, inputs: {} },
      {
        id: "paste",
        kind: "calibration",
        title: "The paste",
        parameters: { name: "Rose sample", density: 1.09, volumeSolids: 29, ...parameters },
        inputs: { pigments: "rack", viewing: "viewing" },
      },
    ],
  };
}

/** Computes a calibration cell; `outcome` tells how it ended, `value` what it gave. */
export async function calibrated(parameters: object, rack: object = {}) {
  const graph = await computed(calibrationNotebook(parameters, rack));
  const outcome = graph.outcome("paste") as SettledOutcome<Calibration>;
  const value = outcome.status === "ok" ? outcome.value : undefined;
  return { graph, outcome, value: value as Calibration };
}

/** Everything a person reads of a calibration. */
export function wordsOf({ outcome, value }: Awaited<ReturnType<typeof calibrated>>): string {
  if (outcome.status !== "ok") return "message" in outcome ? outcome.message : "";
  return [
    value.status,
    ...value.findings.map(({ text }) => text),
    ...value.contradicting.map(({ text }) => text),
    value.withoutComponent ?? "",
  ].join("\n");
}

/** Places in a value that hold NaN; an unknown σ and the thickness of an opaque film may be infinite. */
export function notANumber(value: unknown, path = "value"): string[] {
  if (typeof value === "number") return Number.isNaN(value) ? [path] : [];
  if (value === null || typeof value !== "object") return [];
  if (ArrayBuffer.isView(value)) return (value as Float64Array).some(Number.isNaN) ? [path] : [];
  return Object.entries(value).flatMap(([key, part]) => notANumber(part, `${path}.${key}`));
}
