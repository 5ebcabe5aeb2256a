import type { CellKind, Port, PortType } from "./defineCell.ts";
import { checkParameters, type NumberSpec } from "./parameters.ts";

/** A named number that a cell's result holds, so that others can ask for it without knowing the kind of cell. */
export interface Quantity {
  /** Stable name within the kind, such as "part-2-difference". */
  readonly name: string;
  /** In words, such as "ΔE00 of Corner bolsters". */
  readonly label: string;
  readonly unit: string;
  /** Undefined when there is none, such as the number of coats that never suffice. */
  readonly value: number | undefined;
  /** Decimals worth showing. */
  readonly digits: number;
  /** What it means that there is none, such as "never, within 10 coats". */
  readonly none?: string;
}

/** A numeric parameter of a cell, which others may ask to move. */
export interface Setting {
  readonly name: string;
  readonly spec: NumberSpec;
  readonly value: number;
}

/** What a port of type "any" receives: whatever the linked cell has to offer, whichever kind it is. */
export interface Offered {
  readonly cell: string;
  readonly title: string;
  readonly quantities: readonly Quantity[];
  readonly settings: readonly Setting[];
}

/** A port of this type takes every cell, and receives it as `Offered`. */
export const anyPort: PortType = "any";

/** Whether a cell that gives `output` may be linked to a port. */
export function fitsPort(port: Port, output: PortType): boolean {
  return port.type === anyPort || port.type === output;
}

/** Whether a kind has numbers to ask for or to move, and does not itself ask others for theirs. */
export function hasNumbers(kind: CellKind): boolean {
  if (Object.values(kind.inputs).some((port) => port.type === anyPort)) return false;
  return (
    kind.quantities !== undefined || Object.values(kind.parameters).some((spec) => spec.type === "number")
  );
}

/** Everything that a cell with this value and these saved parameters has to offer. */
export function offeredBy(
  cell: {
    readonly id: string;
    readonly title: string;
    readonly parameters: Readonly<Record<string, unknown>>;
  },
  kind: CellKind,
  value: unknown,
): Offered {
  const parameters = checkParameters(kind.parameters, cell.parameters);
  return {
    cell: cell.id,
    title: cell.title,
    quantities: kind.quantities?.(value) ?? [],
    settings: Object.entries(kind.parameters).flatMap(([name, spec]) =>
      spec.type === "number" ? [{ name, spec, value: parameters[name] as number }] : [],
    ),
  };
}
