import type { CellKind } from "../graph/defineCell.ts";
import { initialParameters, type ParameterSpec } from "../graph/parameters.ts";
import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";

/**
 * What other cells work with: no results of its own, and on paper no more than a line. By type of port, the settings
 * that hold whatever else is set.
 */
const supplies: Readonly<Record<string, readonly string[]>> = {
  viewing: ["illuminant", "observer", "formula", "tolerance"],
  "pigment-set": ["set"],
  substrate: ["count", "material"],
  "coat-plan": ["lightCoats", "lightWet", "heavyCoats", "heavyWet"],
};

/** Whether a kind is set up once and then only supplies the others: such cells fold when they are ready. */
export function isSupply(kind: CellKind | undefined): boolean {
  return supplies[kind?.output ?? ""] !== undefined;
}

/**
 * A supply in one line: what it is set to.
 * @returns undefined for a cell that is no supply
 */
export function supplyLine(
  kind: CellKind,
  parameters: Readonly<Record<string, unknown>>,
  units: UnitSystem,
): string | undefined {
  const names = supplies[kind.output ?? ""];
  if (!names) return undefined;
  const set: Record<string, unknown> = { ...initialParameters(kind.parameters), ...parameters };
  const words = names.flatMap((name) => settingWords(kind.parameters[name], set[name])).join(", ");
  return wordsIn(words, units);
}

function settingWords(spec: ParameterSpec | undefined, value: unknown): string[] {
  if (spec?.type === "number" && typeof value === "number")
    return [`${spec.label.toLowerCase()}: ${value}${spec.unit ? `\u00a0${spec.unit}` : ""}`];
  if (spec?.type !== "choice") return [];
  return spec.options.filter((option) => option.value === value).map(({ label }) => label);
}
