import type { TakenColours } from "../../../src/controls/colourInput.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { oneColour } from "../../../src/exchange/oneColour.ts";
import { seeTarget } from "../../../src/ports/seenTarget.ts";
import { onWorkingGrid } from "../../../src/ports/spectrum.ts";
import type { Viewing } from "../../../src/ports/viewing.ts";

/**
 * CIELAB as the eye saw it, of a colour that was read: in the light of the viewing cell, with its share of the surface.
 * @throws Error in plain words for a reading that says too little, or was made in another light
 */
export function seenReading(
  { samples, from, conditions, assumptions }: TakenColours<ColourSample>,
  viewing: Viewing,
): [number, number, number] {
  const colour = oneColour(samples, from, conditions, assumptions);
  const { specular } = colour;
  if (!specular) {
    throw new RangeError(
      "nothing says whether the reading counts the surface reflection in: name the instrument that it was read with",
    );
  }
  const label = "reading";
  const { weights } = viewing;
  const [L, a, b] = seeTarget(
    colour.kind === "spectrum"
      ? { kind: "spectrum", label, specular, reflectance: onWorkingGrid(colour.spectrum, () => {}) }
      : {
          kind: "lab",
          label,
          specular,
          Lab: Float64Array.of(colour.Lab.L, colour.Lab.a, colour.Lab.b),
          observer: colour.observer ?? weights.observer,
          illuminant: colour.illuminant ?? weights.illuminant,
        },
    viewing,
  ).Lab;
  return [L, a, b];
}
