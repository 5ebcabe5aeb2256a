/**
 * Share of the standard normal distribution below x.
 * Source: Abramowitz, Stegun 1964, formula 26.2.17 (error below 7.5e-8).
 */
export function normalShare(x: number): number {
  const z = Math.abs(x);
  if (z > 8) return x > 0 ? 1 : 0;
  const t = 1 / (1 + 0.2316419 * z);
  const sum =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const tail = 0.3989422804014327 * Math.exp((-z * z) / 2) * sum;
  return x > 0 ? 1 - tail : tail;
}
