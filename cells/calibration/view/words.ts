import { placesOf } from "../../../src/calibration/finding.ts";
import type { WavelengthStatus } from "../../../src/calibration/identifiability.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import { tradeWords } from "../../../src/colour/tradeWords.ts";
import { differenceText, percentText } from "../../../src/controls/numbers.ts";
import type { ComponentParameter, PigmentSet } from "../../../src/ports/pigmentSet.ts";
import type { Calibration } from "../define.ts";
import type { Comparison } from "../model/comparison.ts";

const grid = wavelengths(workingGrid);

/** The verdict in one line. */
export const verdictWords: Record<Calibration["status"], string> = {
  accepted: "The data suffice.",
  "accepted with cautions": "Usable, with cautions.",
  coarse: "Coarse: made from colours alone.",
  refused: "The data do not suffice.",
};

/** Where K and S are settled, where only one of them or their ratio is, where nothing. */
export function settledWords(status: readonly WavelengthStatus[]): string {
  const at = (kind: WavelengthStatus) => placesOf(grid, (i) => status[i] === kind);
  const has = (kind: WavelengthStatus) => status.includes(kind);
  if (status.every((one) => one === "both")) return "K and S are both settled at every wavelength.";
  const parts = [
    has("both") ? `K and S are both settled at ${at("both")}` : "",
    has("absorption") ? `only K at ${at("absorption")} (S is lost in it)` : "",
    has("scattering") ? `only S at ${at("scattering")}` : "",
    has("ratio") ? `only the ratio K/S at ${at("ratio")}` : "",
    has("nothing") ? `nothing at ${at("nothing")}` : "",
  ].filter(Boolean);
  const [first, ...rest] = parts;
  return `${[first.slice(0, 1).toUpperCase() + first.slice(1), ...rest].join("; ")}.`;
}

/** Rows of the picture that goes with `settledWords`; those that hold nowhere are left out. */
export function settledRows(status: readonly WavelengthStatus[]): { label: string; holds: boolean[] }[] {
  const row = (label: string, ...kinds: WavelengthStatus[]) => ({
    label,
    holds: status.map((one) => kinds.includes(one)),
  });
  const always = [row("K settled", "both", "absorption"), row("S settled", "both", "scattering")];
  const sometimes = [row("only K/S", "ratio"), row("nothing", "nothing")];
  return [...always, ...sometimes.filter(({ holds }) => holds.includes(true))];
}

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

/** Whether the set holds a component already, and whether it is this very one. */
export type Standing = "not in it" | "renewable" | "up to date" | "takes the place of another";

/** How a component stands to a set, by its id. */
export function standingOf(saved: ComponentParameter, pigments: PigmentSet): Standing {
  const own = pigments.added.find(({ id }) => id === saved.id);
  if (own) return JSON.stringify(sorted(own)) === JSON.stringify(sorted(saved)) ? "up to date" : "renewable";
  return pigments.components.some(({ id }) => id === saved.id) ? "takes the place of another" : "not in it";
}

function sorted(component: ComponentParameter): unknown[] {
  return Object.entries(component)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) =>
      key === "provenance"
        ? [
            key,
            Object.entries(value as object)
              .filter(([, part]) => part !== undefined)
              .sort(),
          ]
        : [key, value],
    )
    .sort(([a], [b]) => String(a).localeCompare(String(b)));
}
