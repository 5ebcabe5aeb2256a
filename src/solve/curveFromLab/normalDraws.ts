/**
 * A source of normally distributed numbers (mean 0, standard deviation 1); the same seed gives the same numbers.
 * Source: mulberry32 (T. Ettinger, public domain, from memory) for the uniform draws; Box and Muller 1958.
 */
export function normalDraws(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
}
