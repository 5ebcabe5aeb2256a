/** Greatest lightness that a reading of a surface may have: a white above its tile. */
export const mostLightness = 105;

/**
 * More chroma than any surface has at this L*: black and white have none. Straight lines well outside the optimal
 * colours, 20 at L* 0 and 60 at L* 105 (from memory: MacAdam 1935; the bluest reach 130 near L* 25, the yellowest 120
 * near L* 95).
 */
export function mostChroma(L: number): number {
  return Math.min(20 + 6 * L, 60 + 14 * (mostLightness - L));
}

/** Notes, in words, three numbers that are no CIELAB that a surface can have. */
export function noteDoubtOfLab([L, a, b]: Iterable<number>, note: (text: string) => void): void {
  if (Math.hypot(a, b) > mostChroma(L))
    note(`L* ${L}, a* ${a}, b* ${b} is no colour that a surface can have: check the reading`);
}
