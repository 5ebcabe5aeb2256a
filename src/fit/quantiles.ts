/** Median and the range that holds 90 % of the cases. */
export interface Range90 {
  readonly median: number;
  readonly low: number;
  readonly high: number;
}

/** Median and 90 % range of rising values. */
export function range90(sorted: Float64Array): Range90 {
  const [low, median, high] = quantiles(sorted, [0.05, 0.5, 0.95]);
  return { low, median, high };
}

/**
 * Quantiles of rising values, on a straight line between neighbours.
 * Source: Hyndman, Fan 1996, definition 7 (the usual one; from memory).
 */
export function quantiles(sorted: Float64Array, shares: readonly number[]): number[] {
  return shares.map((share) => {
    const at = share * (sorted.length - 1);
    const below = Math.floor(at);
    const above = Math.min(below + 1, sorted.length - 1);
    return sorted[below] + (at - below) * (sorted[above] - sorted[below]);
  });
}
