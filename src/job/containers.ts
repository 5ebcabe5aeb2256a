import { aboveZero, atLeastZero, each } from "../colour/checks.ts";

/** Some containers of one size. */
export interface ContainerCount {
  /** mL */
  size: number;
  count: number;
}

/**
 * Containers that hold a volume: large ones first, and of the ways to finish the one with the least room left over
 * (the fewer containers when equal).
 *
 * @param volume mL   @param sizes mL, at least one
 * @returns largest first; together they hold at least the volume
 * @throws RangeError for a value out of range or no sizes
 */
export function containersFor(volume: number, sizes: readonly number[]): ContainerCount[] {
  atLeastZero("volume", volume, "mL");
  if (sizes.length === 0) throw new RangeError("no container sizes are given: at least one is needed");
  each("container size", sizes, aboveZero, "mL");
  if (volume === 0) return [];
  const falling = [...new Set(sizes)].sort((a, b) => b - a);
  let best: { counts: number[]; room: number; total: number } | undefined;
  const full: number[] = [];
  let rest = volume;
  for (const size of falling) {
    // Finish here with this size alone …
    const last = Math.ceil(rest / size - 1e-12);
    const counts = [...full, last];
    const held = counts.reduce((sum, count, i) => sum + count * falling[i], 0);
    const room = held - volume;
    const total = counts.reduce((a, b) => a + b, 0);
    if (!best || room < best.room - 1e-9 || (room < best.room + 1e-9 && total < best.total))
      best = { counts, room, total };
    // … or fill as many as go in and finish with smaller ones.
    const whole = Math.floor(rest / size);
    full.push(whole);
    rest -= whole * size;
  }
  return best!.counts.map((count, i) => ({ size: falling[i], count })).filter(({ count }) => count > 0);
}
