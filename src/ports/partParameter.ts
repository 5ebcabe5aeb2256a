import { InputError } from "../graph/outcome.ts";
import type { NumberSpec } from "../graph/parameters.ts";
import type { Coverage, CoveragePart } from "./coverage.ts";

/** Which part of a coverage cell is looked at. */
export const partParameter = {
  type: "number",
  label: "Part",
  help: "Its place among the parts of the coverage cell, counted from 1.",
  whole: true,
  min: 1,
  max: 64,
  step: 1,
  initial: 1,
} as const satisfies NumberSpec;

/**
 * The part with this number.
 * @throws InputError when the coverage cell has fewer parts
 */
export function partNumbered({ parts }: Coverage, number: number, field = "part"): CoveragePart {
  const part = parts[number - 1];
  if (part) return part;
  throw new InputError(`There is no part number ${number}: the coverage cell has ${parts.length}`, {
    field,
    wayOut: `Choose 1 to ${parts.length}`,
  });
}
