import { reflectanceToLab } from "../../../src/colour/Lab.ts";
import type { TakenColours } from "../../../src/controls/colourInput.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { oneColour } from "../../../src/exchange/oneColour.ts";
import type { MeasuredPart } from "../../../src/job/jobRecord.ts";
import { onWorkingGrid } from "../../../src/ports/spectrum.ts";
import type { Viewing } from "../../../src/ports/viewing.ts";
import { labelOfIlluminant } from "../../../src/tables/illuminants.ts";

/**
 * The reading of a part as the record keeps it: Lab in the main light of the viewing cell.
 * @throws RangeError in plain words for a Lab of another light or observer, or a spectrum that covers too little
 */
export function takenReading(
  { samples, from, conditions, assumptions }: TakenColours<ColourSample>,
  part: string,
  { weights }: Viewing,
): MeasuredPart {
  const colour = oneColour(samples, from, conditions, assumptions);
  if (colour.kind === "spectrum") {
    const curve = onWorkingGrid(colour.spectrum, () => undefined);
    const [L, a, b] = reflectanceToLab(curve, weights, new Float64Array(3));
    return { part, L, a, b };
  }
  const { illuminant = weights.illuminant, observer = weights.observer } = colour;
  if (illuminant !== weights.illuminant || observer !== weights.observer) {
    throw new RangeError(
      `${part} was read for ${labelOfIlluminant(illuminant)}, ${observer}, but the viewing cell looks in ` +
        `${labelOfIlluminant(weights.illuminant)}, ${weights.observer}: read it so, or bring in a spectrum`,
    );
  }
  const { L, a, b } = colour.Lab;
  return { part, L, a, b };
}
