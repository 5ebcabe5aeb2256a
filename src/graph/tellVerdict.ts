import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";
import type { CellKind } from "./defineCell.ts";
import { initialParameters } from "./parameters.ts";
import type { Verdict } from "./verdict.ts";

/**
 * What a cell comes to, in the units of the job: its key figure as it stands in the text.
 *
 * @param given parameters as they stand in the document; the others have their initial values
 */
export function tellVerdict(
  kind: CellKind,
  value: unknown,
  given: Readonly<Record<string, unknown>>,
  units: UnitSystem,
): Verdict | undefined {
  const verdict = kind.verdict?.(value, { ...initialParameters(kind.parameters), ...given }, units);
  if (!verdict) return undefined;
  const { text, figure = "", ...more } = verdict;
  return { ...more, text: wordsIn(text, units), figure: wordsIn(figure, units) };
}
