import type { ParameterValues } from "../../../src/graph/parameters.ts";
import type { GroundOrder } from "../../../src/ground/rankGrounds.ts";
import { type KeptRanking, rankingSchema } from "./kept.ts";

export const groundOrders = [
  { value: "difference", label: "the nearest colour" },
  { value: "coats", label: "the fewest colour coats" },
  { value: "hiding", label: "how well it hides the darkest part" },
  { value: "cost", label: "the least cost" },
] as const satisfies readonly { value: GroundOrder; label: string }[];

export const parameters = {
  order: {
    type: "choice",
    label: "Order by",
    options: groundOrders,
    initial: "difference" as GroundOrder,
  },
  members: {
    type: "number",
    label: "Paints and pastes in a ground, at most",
    help: "The basecoat cell takes three; a ground of four (three paints and a paste) is mixed by hand.",
    whole: true,
    min: 2,
    max: 4,
    step: 1,
    initial: 3,
  },
  maxTint: {
    type: "number",
    label: "Tinting paste at most",
    unit: "% of the wet basecoat",
    min: 0,
    max: 25,
    step: 1,
    digits: 1,
    initial: 5,
  },
  maxCoats: {
    type: "number",
    label: "Try up to",
    unit: "colour coats",
    whole: true,
    min: 1,
    max: 20,
    step: 1,
    initial: 8,
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
  found: {
    type: "value",
    label: "Grounds found",
    schema: rankingSchema,
    initial: null as KeptRanking | null,
  },
} as const;

export type Settings = ParameterValues<typeof parameters>;
