import { displayColour } from "../colour/display.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { differenceText } from "../graph/numbers.ts";
import type { Outcome } from "../graph/outcome.ts";
import { tellVerdict } from "../graph/tellVerdict.ts";
import type { Verdict } from "../graph/verdict.ts";
import type { Coverage, CoveragePart } from "../ports/coverage.ts";
import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";

/** A panel as it stood when a page was saved. */
export interface StillPanel {
  readonly name: string;
  readonly figure: string;
  /** Colours for style sheets, side by side: the target, where there is one, and the panel. */
  readonly colours: readonly string[];
}

/** What a cell said when a page was saved. */
export interface Still {
  readonly verdict?: Verdict;
  /** The words of a note or a question. */
  readonly text?: string;
  readonly panels?: readonly StillPanel[];
  readonly notes?: readonly string[];
  /** Why there is nothing else. */
  readonly trouble?: string;
}

/** What a cell says now. */
export function stillOf(
  cell: NotebookCell,
  kind: CellKind | undefined,
  outcome: Outcome,
  units: UnitSystem,
): Still {
  if (outcome.status === "running") return { trouble: "It was still being computed." };
  if (outcome.status !== "ok") return { trouble: `${outcome.message}.`.replace(/([.!?])\.$/, "$1") };
  const { value, notes } = outcome;
  const text = wordsOf(cell, kind, value);
  const isToTell = kind !== undefined && (text === undefined || kind.asks !== undefined);
  const verdict = isToTell ? tellVerdict(kind, value, cell.parameters, units) : undefined;
  const panels = cell.kind === "coverage" ? panelsOf(value as Coverage) : [];
  return {
    ...(verdict ? { verdict } : {}),
    ...(text === undefined ? {} : { text }),
    ...(panels.length > 0 ? { panels } : {}),
    ...(notes.length > 0 ? { notes: notes.map((words) => wordsIn(words, units)) } : {}),
  };
}

/** The words that a cell is there for; what a question tells after its answer is not among them. */
function wordsOf(cell: NotebookCell, kind: CellKind | undefined, value: unknown): string | undefined {
  if (cell.kind === "note") return String(cell.parameters.text ?? "");
  return kind?.asks ? (value as { text: string }).text : undefined;
}

function panelsOf({ parts, target, targetSeen, basecoat, viewing }: Coverage): StillPanel[] {
  const shown = (XYZ: ArrayLike<number>) => displayColour(XYZ, viewing.weights.white, "srgb");
  const beside = targetSeen ? [shown(targetSeen.XYZ).css] : [];
  const panel = (name: string, { XYZ, difference, coats }: CoveragePart["painted"]): StillPanel => {
    const { css, inGamut } = shown(XYZ);
    const figure =
      difference === undefined ? `${coats} coats` : `${viewing.formula} ${differenceText(difference)}`;
    return {
      name,
      figure: inGamut ? figure : `${figure}, beyond this screen`,
      colours: [...beside, css],
    };
  };
  return [
    ...(targetSeen && target ? [{ name: "Target", figure: targetSeen.label, colours: beside }] : []),
    ...parts.flatMap(({ substrate: { name }, painted, bare }) => [
      panel(name, painted),
      ...(basecoat ? [panel(`${name}, no basecoat`, bare)] : []),
    ]),
  ];
}
