import { html } from "lit";
import type { ReadingHabit } from "../tables/readingHabit.ts";

/** A colour in a file, as far as this control needs to know it. */
export interface OfferedColour {
  readonly kind: "spectrum" | "Lab" | "XYZ";
  readonly label: string;
  readonly observer?: string;
  readonly illuminant?: string;
  readonly specular?: string;
}

/** What a file or a pasted text holds, and what was assumed to read it. */
export interface OfferedColours<Colour extends OfferedColour = OfferedColour> {
  readonly form: string;
  readonly samples: readonly Colour[];
  readonly assumptions: readonly string[];
}

/** What a colour looks like. */
export interface OfferedPreview {
  readonly XYZ: ArrayLike<number>;
  readonly Lab: ArrayLike<number>;
  readonly white: ArrayLike<number>;
  readonly curve?: ArrayLike<number>;
}

/** The colours that were taken. */
export interface TakenColours<Colour extends OfferedColour = OfferedColour> {
  readonly samples: readonly Colour[];
  readonly assumptions: readonly string[];
  /** file name, or "typed" */
  readonly from: string;
  /** the answers to what the file does not say, where it had to be asked */
  readonly conditions: { readonly observer?: string; readonly illuminant?: string };
  /** the instrument that was named; what the samples did not say themselves was taken from it */
  readonly habit?: ReadingHabit;
}

/** What readings must have in common to be averaged. */
export function conditionsOf({ kind, specular, illuminant, observer }: OfferedColour): string {
  return JSON.stringify(kind === "spectrum" ? [kind, specular] : ["Lab", specular, illuminant, observer]);
}

/** A curve from 0 to 1 in a few pixels: its shape, no more. */
export function sparkline(curve: ArrayLike<number>) {
  const width = 64;
  const height = 36;
  const highest = Math.max(1, ...Array.from(curve));
  const points = Array.from(
    curve,
    (value, i) =>
      `${((i / (curve.length - 1)) * width).toFixed(1)},${(height - 1 - (value / highest) * (height - 2)).toFixed(1)}`,
  ).join(" ");
  return html`<svg class="spark" width=${width} height=${height} aria-hidden="true">
    <polyline points=${points} fill="none" stroke="currentColor" stroke-width="2"></polyline>
  </svg>`;
}
