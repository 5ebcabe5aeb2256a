import { Runtime } from "@observablehq/runtime";
import type { Progress, RunTask } from "../tasks/longTask.ts";
import type { Apart } from "./apart.ts";
import type { CellId } from "./cellId.ts";
import type { ActionContext, ComputeContext, Registry } from "./defineCell.ts";
import { type Changes, evaluate } from "./evaluate.ts";
import { gatherInputs } from "./gatherInputs.ts";
import { type GraphCell, linkedIds } from "./graphCell.ts";
import { loopMembers } from "./loops.ts";
import { errorOutcome, InputError, type Outcome, type SettledOutcome } from "./outcome.ts";
import { checkParameters } from "./parameters.ts";

interface RuntimeVariable {
  define(name: string, inputs: string[], definition: (...inputs: never[]) => unknown): RuntimeVariable;
  delete(): void;
}

interface Node {
  variable: RuntimeVariable;
  cell: GraphCell;
  outcome: Outcome;
  lastValue: unknown;
  /** Signature of what was computed last, so that an unchanged cell stops the wave. */
  seen: unknown[];
  settled?: SettledOutcome;
}

const running: Outcome = { status: "running" };
const noRunner: RunTask = async () => {
  throw new Error("no task runner was given");
};

/**
 * The live notebook: cells computed by the reactive runtime, one outcome for each.
 * Outcomes are values, never rejections, so that an error keeps its cause and travels as "blocked" to its dependents.
 */
export class NotebookGraph {
  readonly #registry: Registry;
  readonly #run: RunTask;
  readonly #runtime = new Runtime({}, (name: string) => {
    // Never let an unknown name reach the page's globals.
    return { status: "error", message: `There is no cell "${name}"`, bug: false } satisfies Outcome;
  });
  readonly #module = this.#runtime.module();
  readonly #nodes = new Map<string, Node>();
  readonly #listeners = new Set<(id: CellId, outcome: Outcome) => void>();
  readonly #busy = new Set<string>();
  readonly #waiting: (() => void)[] = [];

  readonly #apart: Apart | undefined;

  /** @param apart where cells are computed that have no checked bound; without it all are computed here */
  constructor(registry: Registry, run: RunTask = noRunner, apart?: Apart) {
    this.#registry = registry;
    this.#run = run;
    this.#apart = apart;
  }

  /** Lay these cells into the graph: new ones are added, changed ones redefined, missing ones removed. */
  setCells(cells: readonly GraphCell[]): void {
    const present = new Map(cells.map((cell) => [cell.id, cell]));
    for (const [id, node] of this.#nodes) {
      if (present.has(id)) continue;
      node.variable.delete();
      this.#nodes.delete(id);
      this.#finish(id);
    }
    const upstream = new Map(
      cells.map((cell) => [cell.id, linkedIds(cell).filter((id) => present.has(id))] as const),
    );
    const loops = loopMembers(upstream);
    for (const cell of cells) {
      const known = this.#nodes.get(cell.id);
      const loop = loops.get(cell.id);
      const titles = linkedIds(cell).map((id) => present.get(id)?.title ?? "?");
      const signature = [
        cell.kind,
        cell.title,
        cell.parameters,
        cell.inputs,
        loop?.join(),
        titles.join("\n"),
      ];
      if (known && sameList(known.seen, signature)) {
        known.cell = cell;
        continue;
      }
      const node = known ?? this.#newNode(cell, signature);
      node.cell = cell;
      node.seen = signature;
      this.#nodes.set(cell.id, node);
      this.#define(node, present, loop);
    }
  }

  #newNode(cell: GraphCell, signature: unknown[]): Node {
    // What a removed cell still says must not be taken for the word of a cell that came back under its id.
    const isPresent = () => this.#nodes.get(cell.id) === node;
    const node: Node = {
      variable: this.#module.variable(this.#observer(cell.id, isPresent)) as RuntimeVariable,
      cell,
      outcome: running,
      lastValue: undefined,
      seen: signature,
    };
    return node;
  }

  #define(node: Node, present: ReadonlyMap<string, GraphCell>, loop: string[] | undefined): void {
    const { cell } = node;
    this.#busy.add(cell.id);
    const givers = loop ? [] : [...new Set(linkedIds(cell))].filter((id) => present.has(id));
    let memo: { inputs: SettledOutcome[]; outcome: SettledOutcome } | undefined;
    const remember = (inputs: SettledOutcome[], outcome: SettledOutcome) => {
      const aborted = outcome.status === "error" && isAbort(outcome.cause);
      memo = aborted ? undefined : { inputs, outcome };
      return outcome;
    };
    node.variable.define(
      cell.id,
      ["invalidation", ...givers],
      (invalidation: Promise<void>, ...outcomes: SettledOutcome[]) => {
        // Unchanged inputs of an unchanged cell: hand on the very same outcome, so that the wave stops here.
        if (memo && sameList(memo.inputs, outcomes)) return memo.outcome;
        if (loop) {
          const titles = loop.map((id) => present.get(id)?.title || id);
          return {
            status: "error",
            message: `These cells wait for each other: ${titles.join(" → ")}`,
            wayOut: "Cut one of the links between them",
            bug: false,
          } satisfies SettledOutcome;
        }
        const byId = new Map(givers.map((id, index) => [id, outcomes[index]]));
        const outcome = this.#compute(cell, byId, present, invalidation);
        return outcome instanceof Promise
          ? outcome.then((settled) => remember(outcomes, settled))
          : remember(outcomes, outcome);
      },
    );
  }

  #compute(
    cell: GraphCell,
    outcomes: ReadonlyMap<string, SettledOutcome>,
    present: ReadonlyMap<string, GraphCell>,
    invalidation: Promise<void>,
  ): SettledOutcome | Promise<SettledOutcome> {
    let blocked: SettledOutcome | undefined;
    for (const [id, outcome] of outcomes) {
      if (outcome.status === "ok") continue;
      const root = outcome.status === "blocked" ? outcome.root : (id as CellId);
      const rootTitle = outcome.status === "blocked" ? outcome.rootTitle : present.get(id)?.title || id;
      blocked ??= { status: "blocked", root, rootTitle, message: `Waits for "${rootTitle}" to be mended` };
    }
    if (blocked) return blocked;
    try {
      const kind = this.#registry.get(cell.kind);
      if (!kind) {
        throw new InputError(`There is no kind of cell called "${cell.kind}"`, {
          wayOut: "Remove this cell, or open the notebook with a version that knows the kind",
        });
      }
      const inputs = gatherInputs(kind, cell, outcomes, this.#givers(cell, present), this.#registry);
      const parameters = checkParameters(kind.parameters, cell.parameters);
      const notes: string[] = [];
      const context = this.#context(cell, notes, invalidation);
      if (this.#apart?.needs(cell.kind)) {
        const { id, title } = cell;
        return this.#apart.compute({ kind: cell.kind, id, title, inputs, parameters }, context.signal);
      }
      const value = kind.compute(inputs, parameters, context);
      if (!(value instanceof Promise)) return { status: "ok", value, notes };
      return settleOrAbort(value, context.signal).then(
        (result) => ({ status: "ok", value: result, notes }) as const,
        errorOutcome,
      );
    } catch (thrown) {
      return errorOutcome(thrown);
    }
  }

  /** The cells behind the links as they stand now: their parameters may have changed since this cell was laid in. */
  #givers(cell: GraphCell, present: ReadonlyMap<string, GraphCell>): Map<string, GraphCell> {
    const givers = new Map<string, GraphCell>();
    for (const id of linkedIds(cell)) {
      const giver = this.#nodes.get(id)?.cell ?? present.get(id);
      if (giver) givers.set(id, giver);
    }
    return givers;
  }

  #context(cell: GraphCell, notes: string[], invalidation: Promise<void>): ComputeContext {
    const controller = new AbortController();
    invalidation.then(() => controller.abort(new DOMException("no longer wanted", "AbortError")));
    const run = this.#run;
    const publish: Progress = (share, text) => {
      if (!controller.signal.aborted) this.#publish(cell.id, { status: "running", share, text });
    };
    return {
      signal: controller.signal,
      id: cell.id,
      title: cell.title,
      note: (text) => void notes.push(text),
      progress: publish,
      evaluate: (changes, wanted) => this.#evaluate(changes, wanted, controller.signal),
      run: (task, args, options) =>
        run(task, args, { signal: controller.signal, onProgress: publish, ...options }),
    };
  }

  #evaluate(changes: Changes, wanted: string, signal: AbortSignal) {
    const present = new Map([...this.#nodes].map(([id, node]) => [id, node.cell] as const));
    const settled = (id: string) => this.#nodes.get(id)?.settled;
    const isApart = (kind: string) => this.#apart?.needs(kind) ?? false;
    return evaluate(this.#registry, present, settled, changes, wanted, signal, isApart);
  }

  #observer(id: string, isPresent: () => boolean) {
    return {
      pending: () => {
        if (isPresent()) this.#busy.add(id);
      },
      fulfilled: (outcome: SettledOutcome) => {
        const node = this.#nodes.get(id);
        if (!node || !isPresent()) return;
        node.settled = outcome;
        if (outcome.status === "ok") node.lastValue = outcome.value;
        if (node.outcome !== outcome) this.#publish(id, outcome);
        this.#finish(id);
      },
      rejected: (error: unknown) => {
        if (!isPresent()) return;
        this.#publish(id, errorOutcome(error));
        this.#finish(id);
      },
    };
  }

  #publish(id: string, outcome: Outcome): void {
    const node = this.#nodes.get(id);
    if (!node) return;
    node.outcome = outcome;
    for (const listener of this.#listeners) listener(id as CellId, outcome);
  }

  #finish(id: string): void {
    this.#busy.delete(id);
    if (this.#busy.size === 0) for (const resolve of this.#waiting.splice(0)) resolve();
  }

  /** The present outcome of a cell. */
  outcome(id: string): Outcome {
    return this.#nodes.get(id)?.outcome ?? running;
  }

  /** The last value a cell had when it was ok, for showing a stale result dimmed. */
  lastValue(id: string): unknown {
    return this.#nodes.get(id)?.lastValue;
  }

  /** Call back on every change of an outcome; returns the way to stop. */
  subscribe(listener: (id: CellId, outcome: Outcome) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Resolves when every cell has its outcome. */
  settled(): Promise<void> {
    return this.#busy.size === 0 ? Promise.resolve() : new Promise((resolve) => this.#waiting.push(resolve));
  }

  /**
   * Run an action of a cell with its present inputs.
   * @returns the parameters to change
   * @throws InputError when an input of the cell is not ready
   */
  async act(
    id: string,
    name: string,
    signal: AbortSignal,
    onProgress?: Progress,
    also: ActionContext["also"] = () => {},
  ) {
    await this.settled();
    const node = this.#nodes.get(id);
    const kind = node && this.#registry.get(node.cell.kind);
    const action = kind?.actions?.[name];
    if (!node || !action) throw new InputError(`Cell "${id}" has no action "${name}"`);
    const present = new Map([...this.#nodes].map(([key, other]) => [key, other.cell] as const));
    const outcomes = new Map<string, SettledOutcome>();
    for (const giver of linkedIds(node.cell)) {
      const outcome = this.#nodes.get(giver)?.settled;
      if (outcome) outcomes.set(giver, outcome);
      if (outcome && outcome.status !== "ok") {
        throw new InputError(`"${present.get(giver)?.title ?? giver}" must be mended first`);
      }
    }
    const inputs = gatherInputs(kind, node.cell, outcomes, present, this.#registry);
    const parameters = checkParameters(kind.parameters, node.cell.parameters);
    if (this.#apart?.needs(kind.kind)) {
      const job = { kind: kind.kind, id, title: node.cell.title, inputs, parameters, action: name };
      const outcome = await settleOrAbort(this.#apart.compute(job, signal), signal);
      if (outcome.status === "ok") return outcome.value as Record<string, unknown>;
      throw new InputError(outcome.message, outcome.status === "error" ? outcome : {});
    }
    const run = this.#run;
    return settleOrAbort(
      Promise.resolve(
        action.run(inputs, parameters, {
          signal,
          id,
          title: node.cell.title,
          note: () => {},
          progress: (share, text) => onProgress?.(share, text),
          evaluate: (changes, wanted) => this.#evaluate(changes, wanted, signal),
          run: (task, args, options) => run(task, args, { signal, onProgress, ...options }),
          also,
        }),
      ),
      signal,
    );
  }

  /** Stop everything; outcomes are no longer published. */
  dispose(): void {
    this.#listeners.clear();
    this.#runtime.dispose();
  }
}

function sameList(a: readonly unknown[], b: readonly unknown[]): boolean {
  return a.length === b.length && a.every((value, index) => value === b[index]);
}

function isAbort(cause: unknown): boolean {
  return cause instanceof DOMException && cause.name === "AbortError";
}

/** A promise that settles on abort even when the work behind it does not. */
function settleOrAbort<Value>(work: Promise<Value>, signal: AbortSignal): Promise<Value> {
  if (signal.aborted) return Promise.reject(signal.reason);
  return new Promise((resolve, reject) => {
    const onAbort = () => reject(signal.reason);
    signal.addEventListener("abort", onAbort, { once: true });
    work.then(resolve, reject).finally(() => signal.removeEventListener("abort", onAbort));
  });
}
