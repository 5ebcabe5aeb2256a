import type { ChartTable } from "../../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../../src/controls/numbers.ts";
import type { Opinion, Played } from "../model/kept.ts";

/** A share of many, in words at either end. */
export function shareText(share: number): string {
  if (share < 0.005) return "hardly any";
  return share > 0.995 ? "nearly all" : percentText(share);
}

/** What to practise first. */
export function mostOf({ shares }: Played): string {
  const [first, second] = shares;
  if (!first || first.share <= 0) return "Nothing that varies makes a difference.";
  const most = `Most of it, ${percentText(first.share)}, comes from the ${first.source}`;
  return second && second.share > 0.1
    ? `${most}, then ${percentText(second.share)} from the ${second.source}.`
    : `${most}; the rest hardly counts.`;
}

/** What the theories say at the ratio as it is now, read off the curves. */
export function nowWords({ ratios, twoFlux, exact, ratio }: Opinion, now: number): string {
  if (Math.abs(ratio - now) < 0.005) return "";
  const at = (curve: readonly number[]) => {
    const k = Math.min(ratios.length - 2, Math.floor(now * (ratios.length - 1)));
    const t = (now - ratios[k]) / (ratios[k + 1] - ratios[k]);
    return curve[k] + t * (curve[k + 1] - curve[k]);
  };
  return `Now, at ${percentText(now)}, the theory says ${differenceText(at(twoFlux))} and exact transport ${differenceText(at(exact))}.`;
}

export function barTable({ shares }: Played): ChartTable {
  return {
    columns: ["source", "first-order share", "standard error", "with what it does together with others"],
    rows: shares.map(({ source, share, standardError, total }) => [source, share, standardError, total]),
  };
}
