import { rowHeight, textSize } from "./chrome.ts";

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

/** The label itself, or its beginning with an ellipsis when it would be wider than `width` px. */
export function fitText(text: string, width: number): string {
  if (textWidth(text, true) <= width) return text;
  let end = text.length - 1;
  while (end > 1 && textWidth(`${text.slice(0, end)}…`, true) > width) end--;
  return `${text.slice(0, end).trimEnd()}…`;
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
    while (pools.length > 0) {
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

/** Where each entry of a key stands: left end of its line sample, and the middle of its row, px. */
export interface KeyPlace {
  x: number;
  y: number;
  text: string;
}

export const sampleLength = 34;
const sampleGap = 7;
const entryGap = 20;

/** Lays the entries of a key out in rows between left and right; `rows` says how many were needed. */
export function keyRows(
  labels: readonly string[],
  left: number,
  right: number,
  top: number,
): { places: KeyPlace[]; rows: number } {
  const places: KeyPlace[] = [];
  let x = left;
  let row = 0;
  for (const label of labels) {
    const text = fitText(label, right - left - sampleLength - sampleGap);
    const width = sampleLength + sampleGap + textWidth(text);
    if (x > left && x + width > right) {
      x = left;
      row++;
    }
    places.push({ x, y: top + (row + 0.5) * rowHeight, text });
    x += width + entryGap;
  }
  return { places, rows: labels.length === 0 ? 0 : row + 1 };
}

/** Left end of the text that belongs to a key entry, px. */
export function keyTextX(place: KeyPlace): number {
  return place.x + sampleLength + sampleGap;
}
