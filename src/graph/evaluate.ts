import type { ComputeContext, Registry } from "./defineCell.ts";
import { gatherInputs } from "./gatherInputs.ts";
import { type GraphCell, linkedIds } from "./graphCell.ts";
import { offeredBy } from "./offered.ts";
import { InputError, type SettledOutcome } from "./outcome.ts";
import { checkParameters } from "./parameters.ts";
import type { Offered } from "./quantity.ts";

/** Parameters to change in thought, cell by cell. */
export type Changes = Readonly<Record<string, Readonly<Record<string, unknown>>>>;

/**
 * What a cell would offer if some parameters were different: recomputes the cells between, and leaves the live notebook alone.
 *
 * @param outcomes present outcomes of all cells
 * @param wanted id of the cell asked   @param isApart whether a kind must not be computed here
 * @throws InputError when a cell on the way is in error, or works too long to be asked many times
 */
export function evaluate(
  registry: Registry,
  present: ReadonlyMap<string, GraphCell>,
  outcomes: (id: string) => SettledOutcome | undefined,
  changes: Changes,
  wanted: string,
  signal: AbortSignal,
  isApart: (kind: string) => boolean,
): Offered {
  const touched = new Map<string, boolean>();
  const isTouched = (id: string): boolean => {
    const known = touched.get(id);
    if (known !== undefined) return known;
    touched.set(id, false); // a loop ends here; its members are in error anyway
    const cell = present.get(id);
    const answer = id in changes || (cell !== undefined && linkedIds(cell).some(isTouched));
    touched.set(id, answer);
    return answer;
  };
  const done = new Map<string, SettledOutcome>();
  const outcomeOf = (id: string): SettledOutcome => {
    const known = done.get(id) ?? (isTouched(id) ? undefined : outcomes(id));
    if (known) return known;
    const cell = present.get(id);
    if (!cell) throw new InputError(`There is no cell "${id}" in this notebook`);
    const outcome = recompute(cell);
    done.set(id, outcome);
    return outcome;
  };
  const recompute = (cell: GraphCell): SettledOutcome => {
    const kind = registry.get(cell.kind);
    if (!kind) throw new InputError(`There is no kind of cell called "${cell.kind}"`);
    const givers = new Map<string, SettledOutcome>();
    for (const id of linkedIds(cell)) {
      if (!present.has(id)) continue;
      const outcome = outcomeOf(id);
      if (outcome.status !== "ok") throw new InputError(`"${present.get(id)?.title}" must be mended first`);
      givers.set(id, outcome);
    }
    const inputs = gatherInputs(kind, cell, givers, present, registry);
    const parameters = checkParameters(kind.parameters, { ...cell.parameters, ...changes[cell.id] });
    const value = isApart(kind.kind)
      ? Promise.resolve()
      : kind.compute(inputs, parameters, quietContext(cell, signal));
    if (value instanceof Promise) {
      value.catch(() => {});
      throw new InputError(`"${cell.title}" works too long to be asked many times`, {
        wayOut: "Ask a cell that comes before it",
      });
    }
    return { status: "ok", value, notes: [] };
  };
  const outcome = outcomeOf(wanted);
  const cell = present.get(wanted)!;
  if (outcome.status !== "ok") throw new InputError(`"${cell.title}" must be mended first`);
  const changed = { ...cell, parameters: { ...cell.parameters, ...changes[wanted] } };
  return offeredBy(changed, registry.get(cell.kind)!, outcome.value);
}

function quietContext({ id, title }: GraphCell, signal: AbortSignal): ComputeContext {
  const refuse = () => Promise.reject(new InputError("long work cannot be asked many times"));
  return { id, title, signal, note: () => {}, progress: () => {}, run: refuse, evaluate: neverEvaluate };
}

function neverEvaluate(): never {
  throw new InputError("one such cell cannot ask another");
}
