import { fixed } from "../words/fixed.ts";

/** A colour difference as shown: two decimals below 10, one above. */
export function differenceText(value: number | undefined): string {
  if (value === undefined) return "–";
  return value < 9.995 ? value.toFixed(2) : value.toFixed(1);
}

/** A share as per cent. */
export function percentText(share: number, digits = 0): string {
  // A no-break space keeps the sign with its number.
  return `${(100 * share).toFixed(digits)}\u00a0%`;
}

/** A Lab triple in words of numbers. */
export function LabText(Lab: ArrayLike<number>): string {
  return `L*\u00a0${fixed(Lab[0], 1)}  a*\u00a0${fixed(Lab[1], 1)}  b*\u00a0${fixed(Lab[2], 1)}`;
}
