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
