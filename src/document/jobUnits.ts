import type { UnitSystem } from "../units/units.ts";

/** What is asked of a cell for it. */
interface UnitCell {
  readonly kind: string;
  readonly parameters: Readonly<Record<string, unknown>>;
}

/**
 * The units in which a notebook's job is read and typed: those that its batch cell is set to; before there is one, those that
 * the sizes of its first part are typed in.
 */
export function jobUnits(cells: readonly UnitCell[]): UnitSystem {
  const of = (kind: string) => cells.find((cell) => cell.kind === kind);
  return (of("batch") ?? of("substrate"))?.parameters.units === "us" ? "us" : "metric";
}
