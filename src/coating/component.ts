import { aboveZero, atLeastZero, each, fraction, ofLength, within } from "../colour/checks.ts";
import { workingGrid } from "../colour/grid.ts";
import { mostCoefficient } from "../optics/coefficientBound.ts";
import { checkJointDraws, type JointDraws } from "./jointDraws.ts";

/** Where the numbers of a component come from. */
interface Provenance {
  kind: "invented" | "calibrated" | "measured" | "imported";
  by?: string;
  /** date as written by the person, ISO 8601 preferred */
  when?: string;
  note?: string;
  /** the price is the person's, whatever the rest is */
  price?: "own";
}

/** Something that can be poured into a mix: a pigment paste, a clear binder, a ready base paint. */
export interface Component {
  id: string;
  name: string;
  role: "paste" | "binder" | "base paint";
  /** Colour Index generic name, such as "PR 254" */
  colourIndex?: string;
  /** g/mL of the wet component */
  density: number;
  /** share of the wet volume that stays in the dry film, 0…1 */
  volumeSolids: number;
  /** K of the component's own dry film, 1/µm, on the working grid */
  absorption: Float64Array;
  /** S of the component's own dry film, 1/µm, on the working grid */
  scattering: Float64Array;
  /** standard uncertainty (1σ) of each K, 1/µm */
  absorptionSigma?: Float64Array;
  /** standard uncertainty (1σ) of each S, 1/µm */
  scatteringSigma?: Float64Array;
  /** 1σ of ln of a factor that K and S share along the whole spectrum: what a hiding colour alone leaves open */
  scaleSigma?: number;
  /** K and S as drawn together with those of other components; they say all that the figures of doubt above say, and more */
  joint?: JointDraws;
  costPerMl?: number;
  /** least amount that can sensibly be dosed, mL per 100 mL of mix; where it says nothing the recipe does */
  leastDose?: number;
  /** sizes that it is sold in, mL */
  containers?: readonly number[];
  lightfastness?: string;
  provenance: Provenance;
}

/**
 * Refuses a component that cannot be: spectra off the working grid, negative coefficients, a density or a volume
 * solids that no coating has.
 *
 * @throws RangeError or TypeError naming the component and the field
 */
export function checkComponent(component: Component): void {
  const of = (field: string): string => `${component.name}: ${field}`;
  within(of("density"), component.density, 0.5, 10, "g/mL");
  fraction(of("volume solids"), component.volumeSolids);
  const spectra: [string, Float64Array | undefined][] = [
    ["absorption", component.absorption],
    ["scattering", component.scattering],
    ["absorption uncertainty", component.absorptionSigma],
    ["scattering uncertainty", component.scatteringSigma],
  ];
  for (const [field, values] of spectra) {
    if (values === undefined) continue;
    ofLength(of(field), values, workingGrid.length);
    each(of(field), values, atLeastZero, "1/µm");
  }
  if (component.scaleSigma !== undefined) atLeastZero(of("doubt of the scale"), component.scaleSigma);
  if (component.joint) checkJointDraws(component.name, component.joint, workingGrid.length);
  if (component.leastDose !== undefined)
    within(of("least dose"), component.leastDose, 0, 100, "mL per 100 mL");
  if (component.containers) each(of("container size"), component.containers, aboveZero, "mL");
  if (component.costPerMl !== undefined) atLeastZero(of("cost per mL"), component.costPerMl);
}

/** In words, a K or S that no paint can have; undefined when there is none. */
export function beyondAnyPaint({
  name,
  absorption,
  scattering,
}: Pick<Component, "name" | "absorption" | "scattering">): string | undefined {
  const most = (values: Float64Array) => values.reduce((m, value) => Math.max(m, value), 0);
  const K = most(absorption);
  const S = most(scattering);
  const [letter, value] = K > mostCoefficient.K ? (["K", K] as const) : (["S", S] as const);
  if (!(value > mostCoefficient[letter])) return undefined;
  return `${name}: ${letter} of ${value.toPrecision(3)} per µm is more than any paint has (at most ${mostCoefficient[letter]}): nothing is computed from it`;
}
