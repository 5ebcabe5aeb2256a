import { anyPort, type CellKind, type Port } from "./defineCell.ts";
import { checkParameters } from "./parameters.ts";
import type { Offered } from "./quantity.ts";

/** Whether a cell that gives `output` may be linked to a port. */
export function fitsPort(port: Port, output: string | undefined): boolean {
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
