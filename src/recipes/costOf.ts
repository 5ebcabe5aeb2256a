import type { Component } from "../coating/component.ts";

/** Price of a mix from the mL, or the wet shares, of its components; undefined when one of its components has none. */
export function costOf(components: readonly Component[], shares: ArrayLike<number>): number | undefined {
  let cost = 0;
  for (let j = 0; j < components.length; j++) {
    if (shares[j] === 0) continue;
    const { costPerMl } = components[j];
    if (costPerMl === undefined) return undefined;
    cost += shares[j] * costPerMl;
  }
  return cost;
}
