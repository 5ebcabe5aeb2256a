/** What rounding may leave of numbers, as a share of the largest. */
const dust = 1e-12;

/**
 * What is left of a whole without its parts. Numbers that should cancel leave a rest of their last digits, of either sign,
 * such as −5e-17 of a share: that is no rest.
 *
 * @returns whole − Σ parts, exactly 0 where that is less than a billionth of a thousandth of the largest of them
 * Source: IEEE 754 double precision (2⁻⁵³ for each step, with room for sums of a few thousand).
 */
export function remainder(whole: number, ...parts: readonly number[]): number {
  let left = whole;
  let largest = Math.abs(whole);
  for (const part of parts) {
    left -= part;
    largest = Math.max(largest, Math.abs(part));
  }
  return Math.abs(left) <= dust * largest ? 0 : left;
}
