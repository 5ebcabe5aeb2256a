import { differenceText } from "../../../src/controls/numbers.ts";
import type { PlannedPanel } from "../../../src/ledger/planPanels.ts";
import type { PanelsSay, SaidBottle, SaidShift } from "../../../src/ledger/say.ts";
import type { UnitSystem } from "../../../src/units/units.ts";
import { wordsIn } from "../../../src/units/wordsIn.ts";
import { plural } from "../../../src/words/plural.ts";

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

/** A bottle that surely differs from the one before, in words. */
export function jumpWords({ paste, name, jump }: SaidBottle): string {
  const share = Math.round(100 * Math.abs((jump ?? 1) - 1));
  return `Bottle ${name} of ${paste} colours ${share} % ${(jump ?? 1) < 1 ? "less" : "more"} than the one before.`;
}

/** A paste that is of another strength from a date on, in words. */
export function shiftWords({ paste, date, jump }: SaidShift): string {
  const share = Math.round(100 * Math.abs(jump - 1));
  return `From ${date} on ${paste} colours ${share} % ${jump < 1 ? "less" : "more"} than before. If a new bottle was opened, tell the bottles apart in the panels.`;
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
export function pourWords({ parts }: PlannedPanel, units: UnitSystem): string {
  const words = parts.map(({ name, amount }) => `${Number(amount.toFixed(2))} mL ${name}`).join(", ");
  return wordsIn(words, units);
}
