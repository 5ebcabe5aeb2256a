import { textSize } from "./chrome.ts";

/**
 * Estimated width of a label, px. Charts are laid out without measuring text in the page (which would force a
 * layout); the widths, in em, are rounded up from common sans-serif faces (common practice).
 */
export function textWidth(text: string, bold = false): number {
  let em = 0;
  for (const letter of text) {
    if (/[ijlI.,:;'|!]/.test(letter)) em += 0.3;
    else if (/[ftr() \-/]/.test(letter)) em += 0.38;
    else if (/[mwMWQO%±]/.test(letter)) em += 0.88;
    else if (/[A-ZΔ]/.test(letter)) em += 0.68;
    else em += 0.58;
  }
  return em * textSize * (bold ? 1.08 : 1);
}

/**
 * Moves labels apart along one axis, as little as possible, in their given order of position.
 *
 * @param wanted position of each label, px
 * @param gap least distance between neighbours, px; it shrinks when the labels do not fit between the limits
 * @returns a position for each label, in the order of `wanted`, within from…to
 * Method: pool adjacent violators on wanted − rank·gap, which gives the least sum of squared moves.
 */
export function spreadLabels(wanted: ArrayLike<number>, gap: number, from: number, to: number): number[] {
  const count = wanted.length;
  if (count > 1) gap = Math.min(gap, (to - from) / (count - 1));
  const order = Array.from({ length: count }, (_, i) => i).sort((i, j) => wanted[i] - wanted[j] || i - j);
  const pools: { sum: number; count: number }[] = [];
  order.forEach((label, rank) => {
    let pool = { sum: wanted[label] - rank * gap, count: 1 };
    for (let left = pools.length; left > 0; left--) {
      const above = pools[pools.length - 1];
      if (above.sum / above.count <= pool.sum / pool.count) break;
      pool = { sum: above.sum + pool.sum, count: above.count + pool.count };
      pools.pop();
    }
    pools.push(pool);
  });
  const places = new Array<number>(count);
  const last = to - (count - 1) * gap;
  let rank = 0;
  for (const pool of pools) {
    const base = Math.min(Math.max(pool.sum / pool.count, from), Math.max(from, last));
    for (let i = 0; i < pool.count; i++, rank++) places[order[rank]] = base + rank * gap;
  }
  return places;
}
