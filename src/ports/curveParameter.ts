import type { ChoiceSpec } from "../graph/parameters.ts";

/** Which curve a colour known as Lab alone is given for other lights. */
export const curveParameter = {
  type: "choice",
  label: "A curve for other lights",
  help: "A Lab says nothing of other lights. A curve with this Lab does, but it is one of many.",
  options: [
    { value: "none", label: "none: Lab alone" },
    { value: "mixture", label: "like a mixture of the pastes" },
    { value: "smoothest", label: "the smoothest one" },
  ],
  initial: "none",
} as const satisfies ChoiceSpec;
