import type { Coat } from "../coating/thickness.ts";
import { plural } from "../words/plural.ts";
import type { Substrate } from "./substrate.ts";

/** The colour coats in the order they are sprayed. */
export interface ColourCoats {
  /** Id of the cell that holds the plan, so that others can set it. */
  readonly cell: string;
  /** Wet thickness of one light and of one heavy coat, µm, whether any is planned or not. */
  readonly lightWet: number;
  readonly heavyWet: number;
  /** What every part gets. */
  readonly coats: readonly Coat[];
  /** Wet thickness of every coat, µm, in order. */
  readonly wetThicknesses: Float64Array;
}

/** What a part says of its coats. */
export type OwnCoats = Pick<Substrate, "moreCoats">;

/** The coats of one part in order: those that all get, then its own heavy ones. */
export function coatsOn({ coats, heavyWet }: ColourCoats, { moreCoats = 0 }: OwnCoats): readonly Coat[] {
  if (moreCoats === 0) return coats;
  const own: Coat = { kind: "heavy", wetThickness: heavyWet };
  return [...coats, ...Array.from({ length: moreCoats }, () => own)];
}

/** Wet thickness of every coat on one part, µm, in order. */
export function wetsOn(plan: ColourCoats, part: OwnCoats): Float64Array {
  return Float64Array.from(coatsOn(plan, part), ({ wetThickness }) => wetThickness);
}

/** Wet thickness of so many coats on one part, µm; coats beyond its own repeat the last of them. */
export function wetsOnOf(plan: ColourCoats, part: OwnCoats, count: number): Float64Array {
  const wets = wetsOn(plan, part);
  return Float64Array.from({ length: count }, (_, coat) => wets[Math.min(coat, wets.length - 1)]);
}

/** Wet thickness of the coats that all parts get, µm. */
export function commonWet({ wetThicknesses }: ColourCoats): number {
  return wetThicknesses.reduce((sum, wet) => sum + wet, 0);
}

/** Wet thickness that a part gets beyond that, µm. */
export function moreWet({ heavyWet }: ColourCoats, { moreCoats = 0 }: OwnCoats): number {
  return moreCoats * heavyWet;
}

/** The planned coats in words, with the parts that get more: "4 coats (6 on Bolster)". */
export function coatsWords({ coats }: ColourCoats, parts: readonly (OwnCoats & { name: string })[]): string {
  const more = parts.flatMap(({ name, moreCoats = 0 }) =>
    moreCoats > 0 ? [`${coats.length + moreCoats} on ${name}`] : [],
  );
  return `${plural(coats.length, "coat")}${more.length > 0 ? ` (${more.join(", ")})` : ""}`;
}
