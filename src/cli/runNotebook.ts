import { registry as allKinds } from "../../cells/allKinds.ts";
import { jobUnits } from "../document/jobUnits.ts";
import { type NotebookDocument, parseNotebook } from "../document/notebook.ts";
import type { Apart } from "../graph/apart.ts";
import type { CellKind, Registry } from "../graph/defineCell.ts";
import { NotebookGraph } from "../graph/notebookGraph.ts";
import type { Outcome } from "../graph/outcome.ts";
import { tellVerdict } from "../graph/tellVerdict.ts";
import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";
import { runDirect } from "../workers/direct.ts";

export interface CellReport {
  readonly id: string;
  readonly kind: string;
  readonly title: string;
  readonly status: Outcome["status"];
  readonly message?: string;
  /** True when nothing is wrong, but something that only a person can give is not there yet. */
  readonly toGive?: boolean;
  readonly field?: string;
  readonly wayOut?: string;
  /** For a blocked cell: the cell to mend. */
  readonly root?: string;
  readonly notes?: readonly string[];
  /** What the cell comes to, in words. */
  readonly verdict?: string;
  readonly result?: unknown;
}

interface NotebookReport {
  readonly title: string;
  readonly ok: boolean;
  readonly cells: readonly CellReport[];
}

/**
 * Compute a saved notebook with no page at all.
 * @throws NotebookFormatError for a text that is no notebook
 */
export async function runNotebook(text: string, apart?: Apart): Promise<NotebookReport> {
  return runDocument(parseNotebook(text), apart);
}

/**
 * Compute a notebook and report every cell's outcome.
 * @param apart where cells are computed that have no checked bound on their steps
 */
export async function runDocument(
  document: NotebookDocument,
  apart?: Apart,
  registry: Registry = allKinds,
): Promise<NotebookReport> {
  const graph = new NotebookGraph(registry, runDirect, apart);
  try {
    graph.setCells(document.cells);
    await graph.settled();
    const cells = document.cells.map(({ id, kind, title, parameters }) => ({
      id,
      kind,
      title,
      ...report(registry.get(kind), parameters, graph.outcome(id), jobUnits(document.cells)),
    }));
    return { title: document.title, ok: cells.every((cell) => cell.status === "ok"), cells };
  } finally {
    graph.dispose();
  }
}

function report(
  kind: CellKind | undefined,
  given: Readonly<Record<string, unknown>>,
  outcome: Outcome,
  units: UnitSystem,
): Omit<CellReport, "id" | "kind" | "title"> {
  switch (outcome.status) {
    case "ok": {
      const verdict = kind && tellVerdict(kind, outcome.value, given, units);
      const summarise = kind?.summarise;
      return {
        status: "ok",
        ...(outcome.notes.length > 0 ? { notes: outcome.notes.map((text) => wordsIn(text, units)) } : {}),
        ...(verdict ? { verdict: verdict.text } : {}),
        ...(summarise ? { result: summarise(outcome.value) } : {}),
      };
    }
    case "error":
      return {
        status: "error",
        message: outcome.message,
        field: outcome.field,
        wayOut: outcome.wayOut,
        toGive: outcome.toGive,
      };
    case "blocked":
      return { status: "blocked", message: outcome.message, root: outcome.root };
    case "running":
      return { status: "running" };
  }
}
