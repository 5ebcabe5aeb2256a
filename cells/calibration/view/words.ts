import type { Comparison } from "../../../src/calibration/compare.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import { tradeWords } from "../../../src/colour/tradeWords.ts";
import { differenceText, percentText } from "../../../src/controls/numbers.ts";

const grid = wavelengths(workingGrid);

/** A comparison as a person would tell it. */
export function comparisonWords(comparison: Comparison, name: string): string[] {
  const { figures, white } = comparison;
  if (!figures) return [`It cannot be compared with ${comparison.with}: ${comparison.trouble}.`];
  const { strength, strengthSigma, masstone, tint, tintAtEqualStrength, index } = figures;
  const doubt =
    strengthSigma === undefined
      ? ""
      : strengthSigma < 0.005
        ? " (known to better than 1 %)"
        : ` (± ${percentText(strengthSigma)}, 1σ)`;
  const grams = 100 / strength;
  const strongly =
    Math.abs(strength - 1) < 0.03
      ? "about as strongly as"
      : strength > 1
        ? "more strongly than"
        : "less strongly than";
  const way = (pair: { existing: Float64Array; fresh: Float64Array; deltaE: number }) =>
    `${tradeWords(pair.existing, pair.fresh).text} (ΔE00\u00a0${differenceText(pair.deltaE)})`;
  return [
    `${name} colours white ${strongly} ${comparison.with}: its relative tinting strength is ${percentText(strength)}${doubt}, ` +
      `read at ${grid[index]} nm. ${grams.toPrecision(3)} g of it do the work of 100 g of ${comparison.with}.`,
    `By itself, as a film that hides, it is ${way(masstone)}. At 5 % by weight in ${white} it is ${way(tint)}; with as much of ` +
      `each as gives equal strength, ΔE00\u00a0${differenceText(tintAtEqualStrength)} is left, which is hue and cleanness.`,
  ];
}
