/** How often a sign occurs; counting stops above `most`. */
export function countOf(text: string, sign: string, most: number): number {
  let at = text.indexOf(sign);
  let count = 0;
  for (; count <= most && at >= 0; count++) at = text.indexOf(sign, at + 1);
  return count;
}
