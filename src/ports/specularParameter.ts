import type { ChoiceSpec } from "../graph/parameters.ts";

/** Whether a reading includes the mirror reflection of the surface. */
export const specularParameter = {
  type: "choice",
  label: "Surface reflection",
  options: [
    { value: "included", label: "included (sphere, SCI)" },
    { value: "excluded", label: "excluded (45/0 or SCE)" },
  ],
  initial: "included",
} as const satisfies ChoiceSpec;
