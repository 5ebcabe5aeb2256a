/** A number with so many decimals; what rounds to nothing has no sign. */
export function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace("-", "") : text;
}
