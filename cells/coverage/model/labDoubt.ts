import type { Eye } from "../../../src/coating/eye.ts";
import { type Film, groundReflectance } from "../../../src/coating/paintedPart.ts";
import { deltaE2000 } from "../../../src/colour/difference.ts";
import { quantiles } from "../../../src/fit/quantiles.ts";
import { filmReflectanceInto } from "../../../src/optics/film.ts";
import type { Substrate } from "../../../src/ports/substrate.ts";

/**
 * How far parts with one Lab lie apart after the planned coats: ΔE00 within which nine of ten do, for a part of which only a
 * Lab is known.
 *
 * @param painted the part as painted, with the curve that was taken for it
 */
export function LabDoubtOf(
  { fromLab, internal: own }: Substrate,
  basecoat: Film | undefined,
  colour: Pick<Film, "absorption" | "scattering">,
  painted: { readonly dryThickness: number; readonly Lab: ArrayLike<number> },
  eye: Eye,
): { LabDoubt?: number } {
  if (!fromLab || fromLab.others.length === 0) return {};
  const internal = new Float64Array(own.length);
  const Lab = new Float64Array(3);
  const differences = Float64Array.from(fromLab.others, (other) => {
    const ground = groundReflectance(other, basecoat);
    filmReflectanceInto(colour.absorption, colour.scattering, painted.dryThickness, ground, internal);
    eye.labOfInternal(internal, Lab);
    return deltaE2000(painted.Lab, Lab);
  }).sort();
  return { LabDoubt: quantiles(differences, [0.9])[0] };
}
