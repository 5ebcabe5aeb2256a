import type { Component } from "../../../src/coating/component.ts";
import { deltaE2000 } from "../../../src/colour/difference.ts";
import { seededRandom } from "../../../src/fit/seededRandom.ts";
import { judgedDifference } from "../../../src/judgement/judgedDifference.ts";
import { type PanelPaint, panelLab } from "../../../src/judgement/nextPour.ts";

/** A mix, and the same mix with drops of one paste in it. */
export interface InventedPair {
  readonly reference: Float64Array;
  readonly panel: Float64Array;
  /** Panel minus reference on the three judged axes, in eye's units. */
  readonly difference: Float64Array;
  readonly deltaE: number;
  /** Component dropped in, and how many drops. */
  readonly paste: number;
  readonly drops: number;
  /** Components to guess from, the right one among them. */
  readonly choices: readonly number[];
}

/** Smallest and largest difference of a pair, ΔE00. */
const least = 0.6;
const most = 8;
const mostDrops = 400;
const offered = 4;

/**
 * The pair of a number: which paste and how many whole drops, drawn so that small and large differences are alike likely.
 * @param pot mL of each component in the mix of the reference
 */
export function inventedPair(
  number: number,
  paint: PanelPaint,
  pot: Float64Array,
  dropsPerMl: (component: Component) => number,
): InventedPair {
  const random = seededRandom(7919 * number);
  const { components, binderIndex } = paint;
  const pastes = components.map((_, j) => j).filter((j) => j !== binderIndex);
  const paste = pastes[Math.floor(random() * pastes.length)];
  const wanted = least * (most / least) ** random();
  const reference = panelLab(paint, pot);
  const withDrops = (drops: number) =>
    panelLab(paint, pot.with(paste, pot[paste] + drops / dropsPerMl(components[paste])));
  // The difference grows with every drop, so that halving finds the first that is large enough.
  let low = 0;
  let high = mostDrops;
  for (let left = mostDrops; left > 0 && high - low > 1; left--) {
    const middle = (low + high) >> 1;
    if (deltaE2000(reference, withDrops(middle)) < wanted) low = middle;
    else high = middle;
  }
  const panel = withDrops(high);
  const others = pastes.filter((j) => j !== paste);
  for (let surplus = others.length - (offered - 1); surplus > 0; surplus--)
    others.splice(Math.floor(random() * others.length), 1);
  return {
    reference,
    panel,
    difference: judgedDifference(reference, panel),
    deltaE: deltaE2000(reference, panel),
    paste,
    drops: high,
    choices: [...others, paste].sort((p, q) => p - q),
  };
}
