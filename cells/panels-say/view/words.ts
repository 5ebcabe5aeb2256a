import { differenceText } from "../../../src/controls/numbers.ts";
import type { LedgerEntry } from "../../../src/ledger/ledgerFile.ts";
import type { PlannedPanel } from "../../../src/ledger/planPanels.ts";
import type { PanelsSay, SaidBottle } from "../../../src/ledger/say.ts";
import { plural } from "../../../src/words/plural.ts";
import type { OwnPanel } from "../model/parameters.ts";

/** The verdict in two or three sentences. */
export function verdictWords(said: PanelsSay): string {
  const used = said.panels.filter((one) => one.used);
  const offs = used.map(({ off }) => off).sort((a, b) => a - b);
  const odd = said.panels.filter((one) => one.contradicts && one.used).length;
  const half = `Half of the ${plural(used.length, "panel")} lie within ΔE00 ${differenceText(offs[offs.length >> 1])} of what all others say.`;
  const first = said.errors[0];
  const last = said.errors.at(-1);
  const fell =
    first && last && last !== first
      ? ` Panels yet to come were predicted within ${differenceText(first.median)} before the first was in, and within ${differenceText(last.median)} after ${last.panels}.`
      : "";
  const against =
    odd > 0 ? ` ${odd === 1 ? "One panel contradicts" : `${odd} panels contradict`} the rest.` : "";
  return half + fell + against;
}

/** In what the ledger is ahead. */
export function olderWords(more: number, changed: number): string {
  const parts = [
    ...(more > 0 ? [`${plural(more, "panel")} of the ledger ${more === 1 ? "is" : "are"} not in here`] : []),
    ...(changed > 0 ? [`${plural(changed, "panel")} ${changed === 1 ? "was" : "were"} corrected there`] : []),
  ];
  return `${parts.join(", ")}.`;
}

/** A bottle that surely differs from the one before, in words. */
export function jumpWords({ paste, name, jump }: SaidBottle): string {
  const share = Math.round(100 * Math.abs((jump ?? 1) - 1));
  return `Bottle ${name} of ${paste} colours ${share} % ${(jump ?? 1) < 1 ? "less" : "more"} than the one before.`;
}

/** The paste that is known worst, in words. */
export function worstPaste({ pastes }: PanelsSay): string {
  const known = pastes.filter(({ doubt }) => doubt !== null);
  const worst = known.reduce<(typeof known)[number] | undefined>(
    (most, one) => (most && (most.doubt as number) >= (one.doubt as number) ? most : one),
    undefined,
  );
  return worst
    ? `${worst.name} is known worst: its K and S leave ΔE00 ${differenceText(worst.doubt as number)} open in the panels it is in.`
    : "";
}

/** What to pour, in words. */
export function pourWords({ parts }: PlannedPanel): string {
  return parts.map(({ name, amount }) => `${Number(amount.toFixed(2))} mL ${name}`).join(", ");
}

/** How the panels here stand to the ledger: those of it that are not in here, in another state, and only in here. */
export function besideLedger(own: readonly OwnPanel[], entries: readonly LedgerEntry[]) {
  const mine = new Map(own.map((one) => [one.id, one.panel]));
  const theirs = new Set(entries.map(({ id }) => id));
  return {
    more: entries.filter(({ id }) => !mine.has(id)),
    changed: entries.filter(({ id, panel }) => {
      const here = mine.get(id);
      return here !== undefined && JSON.stringify(sorted(here)) !== JSON.stringify(sorted(panel));
    }),
    onlyHere: own.filter(({ id }) => !theirs.has(id)),
  };
}

/** Names in order, so that equal values have equal texts. */
function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value as Record<string, unknown>);
  return entries.sort(([a], [b]) => (a < b ? -1 : 1)).map(([name, inner]) => [name, sorted(inner)]);
}
