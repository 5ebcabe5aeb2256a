import { anyPort, type CellKind, type Port, type Registry } from "./defineCell.ts";
import type { GraphCell } from "./graphCell.ts";
import { fitsPort, offeredBy } from "./offered.ts";
import { InputError, type SettledOutcome } from "./outcome.ts";

/**
 * The values behind a cell's links, port by port.
 * @throws InputError for a missing, surplus or unsuitable link, naming the input
 */
export function gatherInputs(
  kind: CellKind,
  cell: GraphCell,
  outcomes: ReadonlyMap<string, SettledOutcome>,
  present: ReadonlyMap<string, GraphCell>,
  registry: Registry,
): Record<string, unknown> {
  for (const name of Object.keys(cell.inputs)) {
    if (!Object.hasOwn(kind.inputs, name)) {
      throw new InputError(`This kind of cell has no input called "${name}"`, {
        field: name,
        wayOut: "Cut that link",
      });
    }
  }
  const inputs: Record<string, unknown> = {};
  for (const [name, port] of Object.entries(kind.inputs)) {
    const ids = [cell.inputs[name] ?? []].flat();
    const values = ids.map((id) => {
      const giver = present.get(id);
      if (!giver) {
        throw new InputError(`${port.label}: the linked cell "${id}" is not in this notebook`, {
          field: name,
          wayOut: `Link a cell that gives ${port.label.toLowerCase()}`,
        });
      }
      checkPortType(name, port, giver, registry);
      const outcome = outcomes.get(id);
      if (outcome?.status !== "ok") return undefined;
      const giverKind = registry.get(giver.kind);
      return port.type === anyPort && giverKind ? offeredBy(giver, giverKind, outcome.value) : outcome.value;
    });
    if (values.length === 0 && !port.optional) {
      throw new InputError(`${port.label} is not linked`, {
        field: name,
        wayOut: `Choose a cell for "${port.label}" under this cell's inputs`,
      });
    }
    if (values.length > 1 && !port.many) {
      throw new InputError(`${port.label} takes one cell, but ${values.length} are linked`, { field: name });
    }
    inputs[name] = port.many ? values : values[0];
  }
  return inputs;
}

function checkPortType(name: string, port: Port, giver: GraphCell, registry: Registry): void {
  const kind = registry.get(giver.kind);
  if (kind && !fitsPort(port, kind.output)) {
    const given = kind.output ?? kind.kind;
    throw new InputError(`${port.label} cannot come from "${giver.title}", which gives a ${given}`, {
      field: name,
      wayOut: `Link a cell that gives a ${port.type}`,
    });
  }
}
