/** The value that a share of all lies below, without interpolation; 0.5 of three is the middle one. */
export const percentile = (values: readonly number[], share: number): number =>
  [...values].sort((p, q) => p - q)[Math.min(values.length - 1, Math.floor(share * values.length))];
