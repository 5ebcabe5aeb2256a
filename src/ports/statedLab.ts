import * as v from "valibot";
import { LabToXYZ } from "../colour/Lab.ts";
import type { ObserverName } from "../colour/observer.ts";
import type { SpecularMode } from "../optics/interface.ts";
import { illuminantNames } from "../tables/illuminants.ts";
import { weightsFor } from "../tables/weights.ts";

/** A finite number in a range, which a refusal names. */
export const between = (least: number, most: number) => {
  const words = `${least} to ${most} is allowed`;
  return v.pipe(v.number(words), v.finite(words), v.minValue(least, words), v.maxValue(most, words));
};

/** A Lab that was typed or read, as kept inside a notebook, with the light and observer it is stated for. */
export const statedLabSchema = v.strictObject({
  label: v.optional(v.pipe(v.string(), v.maxLength(200)), ""),
  L: between(0, 100),
  a: between(-128, 128),
  b: between(-128, 128),
  observer: v.optional(v.picklist(["1931-2", "1964-10"]), "1964-10"),
  illuminant: v.optional(v.picklist(illuminantNames, "a light of the table is allowed"), "D65"),
});

export type StatedLabParameter = v.InferOutput<typeof statedLabSchema>;

/** What was typed or read as Lab, with the light and observer of the reading before, or the usual ones, where it does not say. */
export function statedLabOf(
  found: {
    readonly Lab: { readonly label: string; readonly L: number; readonly a: number; readonly b: number };
    readonly observer: ObserverName | undefined;
    readonly illuminant: string | undefined;
  },
  before?: StatedLabParameter | null,
): StatedLabParameter {
  return {
    ...found.Lab,
    observer: found.observer ?? before?.observer ?? "1964-10",
    illuminant: (found.illuminant ?? before?.illuminant ?? "D65") as StatedLabParameter["illuminant"],
  };
}

/** Whether a reading includes the surface reflection, with the answer that nobody knows. */
export const surfaceQuestion = {
  type: "choice",
  label: "Surface reflection",
  help: "Whether the instrument counts the mirror reflection in. Not known: the colour itself may tell, and what was taken is said.",
  options: [
    { value: "included", label: "included (sphere, SCI)" },
    { value: "excluded", label: "excluded (45/0 or SCE)" },
    { value: "unknown", label: "I don't know" },
  ],
  initial: "included",
} as const;

export type SurfaceAnswer = SpecularMode | "unknown";

/** Least share of the white in the three tristimulus values of a Lab, 0…1. */
export function darkestShare({ L, a, b, observer, illuminant }: StatedLabParameter): number {
  const { white } = weightsFor(observer, illuminant);
  const XYZ = LabToXYZ([L, a, b], white, new Float64Array(3));
  return Math.min(...XYZ.map((value, i) => value / white[i]));
}

/**
 * The answer to the surface question. A reading that includes the surface cannot be darker than what the surface alone
 * reflects, k1 (Saunderson 1942); a darker one excludes it. A lighter one tells nothing, and is taken as included.
 *
 * @param darkest least reflectance of the reading, 0…1   @param note told what was taken, and why, where nobody knew
 */
export function surfaceModeOf(
  answer: SurfaceAnswer,
  darkest: number,
  k1: number,
  note: (text: string) => void,
): SpecularMode {
  if (answer !== "unknown") return answer;
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  if (darkest < k1) {
    note(
      `The reading goes down to ${percent(darkest)}, below the ${percent(k1)} that the surface alone reflects: it is taken as read without the surface reflection`,
    );
    return "excluded";
  }
  note(
    `Nobody knows whether the surface reflection is in the reading, and the colour does not tell: it is taken as included. ` +
      `Read anything black: below L* 24 the instrument leaves the surface out`,
  );
  return "included";
}
