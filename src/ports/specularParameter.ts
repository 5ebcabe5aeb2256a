import type { ChoiceSpec } from "../graph/parameters.ts";
import type { SpecularMode } from "../optics/interface.ts";

/** Whether a reading of a later panel or part includes the mirror reflection: as the target was read, unless told otherwise. */
export const specularParameter = {
  type: "choice",
  label: "Surface reflection",
  help: "One instrument reads alike: as a rule the answer that stands in the target cell.",
  options: [
    { value: "as target", label: "as the target was read" },
    { value: "included", label: "included (sphere, SCI)" },
    { value: "excluded", label: "excluded (45/0 or SCE)" },
  ],
  initial: "as target",
} as const satisfies ChoiceSpec;

/** The way a panel was read; without a target the surface reflection is taken as included. */
export function specularOf(
  answer: SpecularMode | "as target",
  target: { readonly specular: SpecularMode } | undefined,
): SpecularMode {
  return answer === "as target" ? (target?.specular ?? "included") : answer;
}

/** In words, how a panel or part is taken to have been read, and why. */
export function specularWords(
  answer: SpecularMode | "as target",
  target: { readonly specular: SpecularMode; readonly readWith?: string } | undefined,
): string {
  const taken = `${specularOf(answer, target) === "included" ? "with" : "without"} the surface reflection`;
  if (answer !== "as target") return `Taken as read ${taken}, as was said here.`;
  if (!target) return `Taken as read ${taken}: no target says otherwise.`;
  return `Taken as read ${taken}, as the target was${target.readWith ? `, with ${target.readWith}` : ""}.`;
}
