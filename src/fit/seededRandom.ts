/**
 * A repeatable stream of evenly spread numbers, 0 ≤ x < 1.
 *
 * @param seed any whole number; equal seeds give equal streams on every machine
 * Source: mulberry32, a public-domain 32-bit generator (from memory); good enough for test cases and trial points.
 */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A number from the standard normal distribution, from a stream of evenly spread ones (Box, Muller 1958). */
export function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}
