import type { ParameterValues } from "../../../src/graph/parameters.ts";
import { type Opinion, opinionSchema, type Played, playedSchema } from "./kept.ts";

const percent = (label: string, initial: number, help: string, max = 60) =>
  ({ type: "number", label, unit: "%", min: 0, max, step: 1, initial, help }) as const;

export const parameters = {
  along: {
    type: "choice",
    label: "Show the curve along",
    options: [
      { value: "ratio", label: "the basecoat ratio" },
      { value: "coats", label: "the number of colour coats" },
    ],
    initial: "ratio" as "ratio" | "coats",
  },
  colourBuild: percent(
    "Film build of the colour varies by ±",
    20,
    "One place in three is further off than this (1σ). Common practice.",
  ),
  basecoatBuild: percent("Film build of the basecoat varies by ±", 20, "1σ, as above."),
  ratioError: percent("The blend is poured to ±", 2, "1σ, of the whole blend.", 20),
  doseStep: {
    type: "number",
    label: "Smallest step of a dose",
    unit: "mL",
    help: "A drop is about 0.05 mL. Doses err evenly by up to half a step; 0 leaves them exact.",
    min: 0,
    max: 10,
    step: 0.01,
    digits: 3,
    initial: 0.05,
  },
  batch: {
    type: "number",
    label: "Colour mixed at once",
    unit: "mL",
    min: 1,
    max: 100_000,
    step: 50,
    initial: 200,
  },
  bands: {
    type: "toggle",
    label: "Let K and S vary within their own bands",
    help: "Calibrated pastes carry a band; invented and imported ones often do not.",
    initial: true,
  },
  assumedBand: percent(
    "K and S without a band of their own vary by ±",
    0,
    "0 takes them as exact, and says so.",
    100,
  ),
  cases: {
    type: "number",
    label: "Jobs to play out",
    whole: true,
    help: "10,000 take well under a second; more make the shares more exact.",
    min: 1000,
    max: 1_000_000,
    step: 1000,
    initial: 10_000,
  },
  played: {
    type: "value",
    label: "Jobs played out",
    schema: playedSchema,
    initial: null as Played | null,
  },
  opinion: {
    type: "value",
    label: "Second opinion",
    schema: opinionSchema,
    initial: null as Opinion | null,
  },
} as const;

export type Settings = ParameterValues<typeof parameters>;
