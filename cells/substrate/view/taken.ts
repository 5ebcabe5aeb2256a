import type { TakenColours } from "../../../src/controls/colourInput.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { oneColour } from "../../../src/exchange/oneColour.ts";
import type { ParameterValues } from "../../../src/graph/parameters.ts";
import { statedLabOf } from "../../../src/ports/statedLab.ts";
import type { substrate } from "../define.ts";

type Parameters = ParameterValues<typeof substrate.parameters>;

/** The part's parameters for a colour that was typed or read from a file; what it does not say about the surface is not known. */
export function takenColour(
  { samples, from, conditions }: TakenColours<ColourSample>,
  present: Pick<Parameters, "Lab" | "specular">,
): Pick<Parameters, "spectrum" | "Lab" | "specular"> {
  const colour = oneColour(samples, from, conditions);
  const specular = colour.specular ?? "unknown";
  if (colour.kind === "spectrum") return { spectrum: colour.spectrum, Lab: null, specular };
  return { spectrum: null, Lab: statedLabOf(colour, present.Lab), specular };
}
