import { sameValue } from "../document/sameValue.ts";
import { signatureOf } from "../graph/signature.ts";
import { plural } from "../words/plural.ts";
import type { LedgerEntry } from "./ledgerFile.ts";
import type { Panel } from "./panel.ts";

interface Held {
  readonly id: string;
  readonly panel: Panel;
}

/** How panels at hand stand to the ledger: those of it that are not among them, in another state, and only here. */
export function besideLedger(own: readonly Held[], entries: readonly LedgerEntry[]) {
  const mine = new Map(own.map((one) => [one.id, one.panel]));
  const theirs = new Set(entries.map(({ id }) => id));
  return {
    more: entries.filter(({ id }) => !mine.has(id)),
    changed: entries.filter(({ id, panel }) => mine.has(id) && !sameValue(mine.get(id), panel)),
    onlyHere: own.filter(({ id }) => !theirs.has(id)),
  };
}

/** A panel that a shelf was learnt from, without its readings. */
export interface LearntPanel {
  readonly id: string;
  /** Fingerprint of the state it was in. */
  readonly state: string;
}

export function learntPanels(panels: readonly Held[]): LearntPanel[] {
  return panels.map(({ id, panel }) => ({ id, state: stateOf(panel) }));
}

/** How many panels of the ledger are new since a shelf was learnt, and how many were corrected. */
export function sinceLearnt(learnt: readonly LearntPanel[], entries: readonly LedgerEntry[]) {
  const states = new Map(learnt.map(({ id, state }) => [id, state]));
  return {
    more: entries.filter(({ id }) => !states.has(id)).length,
    changed: entries.filter(({ id, panel }) => states.has(id) && states.get(id) !== stateOf(panel)).length,
  };
}

/** In what the ledger is ahead, in words. */
export function olderWords(more: number, changed: number): string {
  const parts = [
    ...(more > 0 ? [`${plural(more, "panel")} of the ledger ${more === 1 ? "is" : "are"} not in here`] : []),
    ...(changed > 0 ? [`${plural(changed, "panel")} ${changed === 1 ? "was" : "were"} corrected there`] : []),
  ];
  return `${parts.join(", ")}.`;
}

/** Equal for equal panels, in whatever order their fields stand. */
const stateOf = (panel: Panel): string => signatureOf(inOrder(panel));

function inOrder(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(inOrder);
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value).filter(([, inner]) => inner !== undefined);
  return entries.sort(([a], [b]) => (a < b ? -1 : 1)).map(([name, inner]) => [name, inOrder(inner)]);
}
