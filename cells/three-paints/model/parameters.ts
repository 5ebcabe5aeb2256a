import type { ParameterValues } from "../../../src/graph/parameters.ts";

export const parameters = {
  third: {
    type: "text",
    label: "Third paint",
    help: "While the basecoat has two paints. Empty: the next one at hand.",
    initial: "",
    maxLength: 64,
  },
  steps: {
    type: "number",
    label: "Steps along each side",
    whole: true,
    min: 10,
    max: 60,
    step: 5,
    initial: 40,
  },
} as const;

export type Settings = ParameterValues<typeof parameters>;
