import type { Asking, CellKind, Registry } from "../graph/defineCell.ts";
import { initialParameters } from "../graph/parameters.ts";
import type { NotebookCell } from "./notebook.ts";

/** The open question that a cell would answer. */
export interface Cover {
  readonly id: string;
  readonly title: string;
}

/** A question with the cells that it asks about. */
interface Question {
  readonly cell: NotebookCell;
  readonly asking: Asking;
  readonly about: readonly string[];
}

/**
 * What must not be seen yet, because it would answer a question that is open: for each such cell the question. Covered are
 *
 * - the cells asked about, and all that tell the same as these (`CellKind.tells`): those that take from them, those that
 *   they take from and that compute, and what takes from these;
 * - a question whose words hold the answer of an open question above it;
 * - notes below an open question: they say what was learned.
 */
export function coveredCells(cells: readonly NotebookCell[], registry: Registry): ReadonlyMap<string, Cover> {
  const links = new Links(cells, registry);
  const covers = new Map<string, Cover>();
  const asked: Question[] = [];
  for (const cell of cells) {
    const kind = registry.get(cell.kind);
    if (!kind) continue;
    const open = asked.filter(({ asking }) => asking.isOpen);
    if (kind.asks) {
      const asking = kind.asks({ ...initialParameters(kind.parameters), ...cell.parameters });
      const question = { cell, asking, about: links.givers(cell, asking.about) };
      const before = open.find((earlier) => givesAway(question, earlier));
      if (before) cover(covers, cell.id, before);
      asked.push(question);
    } else if (open.length > 0 && isNote(kind)) cover(covers, cell.id, open[0]);
  }
  for (const question of asked) {
    if (question.asking.isOpen) for (const id of links.telling(question)) cover(covers, id, question);
  }
  return covers;
}

function cover(covers: Map<string, Cover>, covered: string, { cell: { id, title } }: Question): void {
  if (!covers.has(covered)) covers.set(covered, { id, title });
}

/** A cell of words alone: it neither takes nor gives anything. */
const isNote = ({ inputs, output }: CellKind) => output === undefined && Object.keys(inputs).length === 0;

/** Whether the words of a question hold an answer of another one. */
function givesAway(question: Question, other: Question): boolean {
  return question.asking.mentions.some((mention) =>
    other.asking.answers.some((answer) => {
      const [a, b] = [cellsOf(mention, question.about), cellsOf(answer, other.about)];
      return mention !== "" && a.name === b.name && a.cells.some((id) => b.cells.includes(id));
    }),
  );
}

/** The cells that may be meant by "name" or "cell:name", and the name. */
function cellsOf(reference: string, about: readonly string[]) {
  const colon = reference.indexOf(":");
  return colon < 0
    ? { name: reference, cells: about }
    : { name: reference.slice(colon + 1), cells: [reference.slice(0, colon)] };
}

/** Who gives and who takes, and what the views tell. */
class Links {
  readonly #cells: ReadonlyMap<string, NotebookCell>;
  readonly #registry: Registry;
  readonly #takers = new Map<string, string[]>();

  constructor(cells: readonly NotebookCell[], registry: Registry) {
    this.#cells = new Map(cells.map((cell) => [cell.id, cell]));
    this.#registry = registry;
    for (const { id, inputs } of cells) {
      for (const giver of Object.values(inputs).flat()) {
        const takers = this.#takers.get(giver);
        if (takers) takers.push(id);
        else this.#takers.set(giver, [id]);
      }
    }
  }

  /** Who gives to a cell, behind one input or behind all. */
  givers({ inputs }: NotebookCell, input?: string): string[] {
    const linked = input === undefined ? Object.values(inputs).flat() : [inputs[input] ?? []].flat();
    return linked.filter((id) => this.#cells.has(id));
  }

  /** All cells whose views tell what a question asks. */
  telling({ asking, about }: Question): string[] {
    const named = asking.answers.flatMap((answer) => cellsOf(answer, about).cells);
    const results = named.filter((id) => this.#takes(id));
    const asked = new Set(results.length > 0 ? results : named);
    const topics = new Set([...asked].map((id) => this.#kind(id)?.tells?.[0]));
    // Supplies, which take nothing, hold what a person has set and no results.
    const computing = reached(asked, (id) => {
      const cell = this.#cells.get(id);
      return cell ? this.givers(cell).filter((giver) => this.#takes(giver)) : [];
    });
    const all = reached(computing, (id) => this.#takers.get(id) ?? []);
    return [...all].filter((id) => asked.has(id) || this.#tellsOne(id, topics));
  }

  #tellsOne(id: string, topics: ReadonlySet<string | undefined>): boolean {
    const kind = this.#kind(id);
    if (!kind || kind.asks) return false;
    return kind.tells === undefined || topics.has(undefined) || kind.tells.some((topic) => topics.has(topic));
  }

  #takes(id: string): boolean {
    return Object.keys(this.#kind(id)?.inputs ?? {}).length > 0;
  }

  #kind(id: string): CellKind | undefined {
    return this.#registry.get(this.#cells.get(id)?.kind ?? "");
  }
}

/** Some cells and all that are reached from them step by step. */
function reached(from: Iterable<string>, next: (id: string) => readonly string[]): Set<string> {
  const found = new Set(from);
  // A set goes on to what is added while it is gone through.
  for (const id of found) for (const further of next(id)) found.add(further);
  return found;
}
