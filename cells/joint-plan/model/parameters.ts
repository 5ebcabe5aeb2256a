import type { ParameterValues } from "../../../src/graph/parameters.ts";
import { type KeptPlans, plansSchema } from "./kept.ts";

const coats = (label: string, initial: number, help?: string) =>
  ({ type: "number", label, whole: true, min: 0, max: 8, step: 1, initial, help }) as const;

export const parameters = {
  goal: {
    type: "choice",
    label: "Look for",
    options: [
      { value: "volume", label: "the least wet volume" },
      { value: "cost", label: "the least cost" },
    ],
    initial: "volume" as "volume" | "cost",
  },
  otherTolerance: {
    type: "number",
    label: "ΔE00 that passes in the other lights",
    help: "In the main light the viewing cell's tolerance holds.",
    min: 0.1,
    max: 20,
    step: 0.1,
    initial: 2,
  },
  leastBasecoats: coats("Basecoats, at least", 1, "0 lets it try without any."),
  mostBasecoats: coats("Basecoats, at most", 3),
  leastLight: coats("Light coats, at least", 1, "A thin first coat grips (common practice)."),
  mostLight: coats("Light coats, at most", 2),
  mostHeavy: coats("Heavy coats, at most", 4),
  maxDryBuild: {
    type: "number",
    label: "Dry film of basecoat and colour, at most",
    unit: "µm",
    help: "Thicker films on flexible trim crack (common practice).",
    min: 5,
    max: 500,
    step: 5,
    initial: 60,
  },
  transferEfficiency: {
    type: "number",
    label: "Of what is sprayed, on the parts",
    unit: "%",
    help: "65 % for a well-set HVLP gun (common practice).",
    min: 5,
    max: 100,
    step: 1,
    initial: 65,
  },
  found: { type: "value", label: "Plans found", schema: plansSchema, initial: null as KeptPlans | null },
} as const;

export type Settings = ParameterValues<typeof parameters>;
