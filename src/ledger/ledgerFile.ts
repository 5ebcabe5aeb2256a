import * as v from "valibot";
import { checkSchema, refuseTraps } from "../document/notebook.ts";
import { sameValue } from "../document/sameValue.ts";
import { ledgerLimits, type Panel, panelSchema } from "./panel.ts";

/** The form of the ledger that this program writes. */
const format = "bole-ledger";
const version = 1;

/** Earlier states of a panel that are kept. */
const keptStates = 20;

const state = {
  /** 1 for the first state of a panel; each correction adds one. */
  number: v.pipe(v.number(), v.integer(), v.minValue(1)),
  /** ISO time. */
  saved: v.pipe(v.string(), v.maxLength(40)),
  panel: panelSchema,
};
const id = v.pipe(v.string(), v.regex(/^[a-z0-9][a-z0-9-]{0,63}$/, "lower-case letters, digits and hyphens"));
const entrySchema = v.strictObject({
  id,
  ...state,
  /** What it was before it was corrected, oldest first. */
  earlier: v.pipe(v.array(v.strictObject(state)), v.maxLength(keptStates)),
});
const ledgerSchema = v.strictObject({
  format: v.literal(format, `expected "${format}": this is no ledger of panels`),
  version: v.literal(
    version,
    `version ${version} is read here; what a newer Bole has written has to be opened with that`,
  ),
  entries: v.pipe(
    v.array(entrySchema),
    v.maxLength(ledgerLimits.panels, `at most ${ledgerLimits.panels} panels`),
    v.check((all) => new Set(all.map((one) => one.id)).size === all.length, "two panels have the same id"),
  ),
});
const changesSchema = v.pipe(
  v.array(
    v.strictObject({
      id,
      panel: v.nullable(panelSchema),
      basedOn: v.pipe(v.number(), v.integer(), v.minValue(0)),
    }),
  ),
  v.minLength(1, "at least one change is needed"),
  v.maxLength(ledgerLimits.panels, `at most ${ledgerLimits.panels} changes`),
);

export type LedgerEntry = v.InferOutput<typeof entrySchema>;
export type Ledger = v.InferOutput<typeof ledgerSchema>;

/** A change of one panel: `basedOn` is the number of the state that was seen, 0 for a new one; null takes it out. */
export interface LedgerChange {
  readonly id: string;
  readonly panel: Panel | null;
  readonly basedOn: number;
}

/** Someone else has changed a panel meanwhile. */
export class LedgerConflict extends Error {
  constructor(
    readonly id: string,
    readonly latest: number,
  ) {
    super(
      latest === 0
        ? "The panel is not in the ledger any more."
        : "The panel was changed in the ledger meanwhile. Look at it first, then change it again.",
    );
  }
}

export const emptyLedger: Ledger = { format, version, entries: [] };

/** @throws NotebookFormatError with the place, the value and what is allowed */
export function checkLedger(plain: unknown): Ledger {
  refuseTraps(plain, "the ledger");
  return checkSchema(ledgerSchema, plain, "the ledger");
}

/** @throws NotebookFormatError with the place, the value and what is allowed */
export function checkChanges(plain: unknown): LedgerChange[] {
  refuseTraps(plain, "the changes");
  return checkSchema(changesSchema, plain, "the changes");
}

/**
 * The ledger after changes, all of them or none; the same object where nothing changes (a repeated request).
 *
 * @param saved ISO time of the changes
 * @throws LedgerConflict for a panel that is no longer as it was seen; RangeError for too many panels
 */
export function changedLedger(ledger: Ledger, changes: readonly LedgerChange[], saved: string): Ledger {
  const entries = new Map(ledger.entries.map((entry) => [entry.id, entry]));
  let changed = false;
  for (const { id: which, panel, basedOn } of changes) {
    const before = entries.get(which);
    if (panel === null ? !before : before && sameValue(before.panel, panel)) continue;
    if (basedOn !== (before?.number ?? 0)) throw new LedgerConflict(which, before?.number ?? 0);
    changed = true;
    if (panel === null) entries.delete(which);
    else {
      const earlier = before
        ? [...before.earlier, { number: before.number, saved: before.saved, panel: before.panel }]
        : [];
      entries.set(which, {
        id: which,
        number: basedOn + 1,
        saved,
        panel,
        earlier: earlier.slice(-keptStates),
      });
    }
  }
  if (entries.size > ledgerLimits.panels) {
    throw new RangeError(`The ledger would hold ${entries.size} panels; at most ${ledgerLimits.panels} fit.`);
  }
  return changed ? { ...ledger, entries: [...entries.values()] } : ledger;
}

/** The text to save: one panel a line, so that a person can compare two states. */
export function serialiseLedger({ entries }: Ledger): string {
  const lines = entries.map((entry) => JSON.stringify(entry)).join(",\n");
  return `{"format":"${format}","version":${version},"entries":[${lines && `\n${lines}\n`}]}\n`;
}
