import type { ChartAxes } from "./chartAxes.ts";

/** Puts the line and the words of a reading where they belong over a picture of some width, px. */
export function placeReading(
  line: HTMLElement,
  words: HTMLElement,
  { top, bottom }: ChartAxes,
  x: number,
  width: number,
): void {
  line.style.translate = `${x}px ${top}px`;
  line.style.blockSize = `${bottom - top}px`;
  // On the side with more room, so that the words never leave the picture.
  const rightHalf = x > width / 2;
  words.style.insetInlineStart = rightHalf ? "auto" : `${x + 8}px`;
  words.style.insetInlineEnd = rightHalf ? `${width - x + 8}px` : "auto";
  words.style.insetBlockStart = `${top + 4}px`;
  words.style.maxInlineSize = `${Math.max(x, width - x) - 12}px`;
}
