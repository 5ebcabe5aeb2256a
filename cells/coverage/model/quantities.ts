import { differenceOf } from "../../../src/colour/difference.ts";
import { XYZToLab } from "../../../src/colour/Lab.ts";
import { metamerismIndexOfReflectance } from "../../../src/colour/metamerism.ts";
import { reflectanceToXYZ } from "../../../src/colour/XYZ.ts";
import type { Quantity } from "../../../src/graph/quantity.ts";
import type { Coverage, CoveragePart } from "../../../src/ports/coverage.ts";
import { amount, colourQuantities, difference, share } from "../../../src/ports/quantities.ts";
import type { OtherLight } from "../../../src/ports/viewing.ts";
import { labelOfIlluminant } from "../../../src/tables/illuminants.ts";

/** The named numbers of a coverage; parts are counted from 1 in the order of their links. */
export function coverageQuantities(coverage: Coverage): Quantity[] {
  const { viewing, parts, worst, opaque, targetSeen, hiding, basecoat } = coverage;
  const { formula } = viewing;
  return [
    difference("worst-difference", `${formula} of the worst part`, parts[worst].painted.difference),
    ...parts.flatMap((part, index) => partQuantities(coverage, part, `part-${index + 1}-`)),
    difference("opaque-difference", `${formula} of the colour where it hides everything`, opaque.difference),
    ...(targetSeen ? colourQuantities("target-", "the target", targetSeen.Lab) : []),
    ...colourQuantities("opaque-", "the colour where it hides everything", opaque.Lab),
    amount("planned-coats", "colour coats planned", coverage.colourCoats.coats.length, "coats", 0),
    amount("colour-dry", "dry thickness of the colour", coverage.colourDryThickness, "µm"),
    amount("basecoat-dry", "dry thickness of the basecoat", basecoat?.dryThickness ?? 0, "µm"),
    amount("dry-build", "dry thickness of the whole film", coverage.dryBuild, "µm"),
    share("contrast-ratio", "contrast ratio of the colour", hiding.contrastRatio),
    difference(
      "black-white-difference",
      "ΔE00 of the colour over black and over white",
      hiding.blackWhiteDifference,
    ),
    {
      ...amount("spread-rate-98", "spread rate at contrast ratio 0.98", hiding.spreadRateAt98, "m²/L"),
      none: "none: it never hides that well",
    },
  ];
}

function partQuantities(coverage: Coverage, part: CoveragePart, prefix: string): Quantity[] {
  const { viewing, dryThicknesses, targetSeen } = coverage;
  const { formula } = viewing;
  const { name } = part.substrate;
  const coats = (key: string, label: string, value: number | undefined): Quantity => ({
    ...amount(prefix + key, label, value, "coats", 0),
    none: `never, within ${dryThicknesses.length} coats`,
  });
  return [
    difference(`${prefix}difference`, `${formula} of ${name}`, part.painted.difference),
    coats("coats", `coats until ${name} passes`, part.coatsToTarget),
    coats("coats-to-hide", `coats until ${name} looks opaque`, part.coatsToHide),
    ...colourQuantities(prefix, name, part.painted.Lab),
    ...part.steps.map((step) =>
      difference(
        `${prefix}after-${step.coats}`,
        `${formula} of ${name} after coat ${step.coats}`,
        step.difference,
      ),
    ),
    difference(`${prefix}bare-difference`, `${formula} of ${name}, no basecoat`, part.bare.difference),
    coats("bare-coats", `coats until ${name} passes, no basecoat`, part.coatsToTargetBare),
    coats("bare-coats-to-hide", `coats until ${name} looks opaque, no basecoat`, part.coatsToHideBare),
    ...colourQuantities(`${prefix}bare-`, `${name}, no basecoat`, part.bare.Lab),
    ...(targetSeen?.reflectance
      ? viewing.others.flatMap((light) =>
          lightQuantities(coverage, part, targetSeen.reflectance as Float64Array, light, prefix),
        )
      : []),
  ];
}

/** How the part matches under another light, and how much of that is the light's doing. */
function lightQuantities(
  { viewing }: Coverage,
  part: CoveragePart,
  target: Float64Array,
  { weights }: OtherLight,
  prefix: string,
): Quantity[] {
  const formula = differenceOf(viewing.formula);
  const { illuminant } = weights;
  const LabOf = (reflectance: Float64Array) => {
    const XYZ = reflectanceToXYZ(reflectance, weights, new Float64Array(3));
    return XYZToLab(XYZ, weights.white, new Float64Array(3));
  };
  const { index } = metamerismIndexOfReflectance(
    target,
    part.painted.reflectance,
    viewing.weights,
    weights,
    formula,
  );
  const under = `${part.substrate.name} under ${labelOfIlluminant(illuminant)}`;
  return [
    difference(
      `${prefix}difference-${illuminant}`,
      `${viewing.formula} of ${under}`,
      formula(LabOf(target), LabOf(part.painted.reflectance)),
    ),
    difference(`${prefix}index-${illuminant}`, `metamerism index of ${under}`, index),
  ];
}
