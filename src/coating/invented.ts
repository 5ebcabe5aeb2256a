import type { Component } from "./component.ts";

/** Names of the used components whose numbers are invented, as those of the demo are. @param volumes in any one unit */
export function inventedAmong(components: readonly Component[], volumes: ArrayLike<number>): string[] {
  return components
    .filter(({ provenance }, j) => volumes[j] > 0 && provenance.kind === "invented")
    .map(({ name }) => name);
}

/** Names of the components whose price is invented, not the person's own. */
export function inventedPrices(components: readonly Component[]): string[] {
  return components
    .filter(
      ({ provenance, costPerMl }) =>
        costPerMl !== undefined && provenance.kind === "invented" && provenance.price !== "own",
    )
    .map(({ name }) => name);
}
