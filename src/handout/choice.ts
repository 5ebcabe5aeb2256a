import type { NotebookCell, NotebookDocument } from "../document/notebook.ts";
import { anyPort, type CellKind, type Registry } from "../graph/defineCell.ts";

/** What of a cell a reader may move: settings by their names, or everything that its view offers. */
export type Moves = readonly string[] | "all";

/** What an author puts into a page that is handed out. */
export interface HandoutChoice {
  /** Cells that are seen, by their ids. */
  readonly shown: readonly string[];
  /** Cells of which nothing is in the file. Those that are neither are in it where a shown cell needs them. */
  readonly leftOut: readonly string[];
  /** What may be moved, cell by cell; nothing where a cell is not named. */
  readonly moves: Readonly<Record<string, Moves>>;
  /** Whether prices, costs and quotes go along. */
  readonly costs: boolean;
}

/** A setting that a reader may be allowed to move. */
interface Movable {
  readonly name: string;
  readonly label: string;
}

/** The settings of a kind that are one number, one choice or one switch; what has structure goes with "all" only. */
export function movables(kind: CellKind): Movable[] {
  return Object.entries(kind.parameters).flatMap(([name, { type, label }]) =>
    type === "number" || type === "choice" || type === "toggle" ? [{ name, label }] : [],
  );
}

/** A cell that asks its reader can always be answered: whoever does not want that leaves it out. */
export function isAnswered({ kind, asks }: CellKind): boolean {
  return asks !== undefined || kind === "pair-to-judge";
}

/** A cell that asks, or puts a setting of others into the reader's hand, is there to be worked with. */
export function isForReaders(kind: CellKind): boolean {
  return isAnswered(kind) || Object.values(kind.inputs).some(({ type }) => type === anyPort);
}

/** The numbers of a cell; everything where it is there to be worked with. */
export function numbersOf(kind: CellKind): Moves {
  if (isForReaders(kind)) return "all";
  return Object.entries(kind.parameters).flatMap(([name, { type }]) => (type === "number" ? [name] : []));
}

/** Everything is shown, every number may be moved: what an author begins with. */
export function wholeNotebook({ cells }: NotebookDocument, registry: Registry): HandoutChoice {
  const movesOf = ({ id, kind }: NotebookCell) => [id, numbersOf(registry.get(kind) ?? noKind)] as const;
  return {
    shown: cells.map(({ id }) => id),
    leftOut: [],
    moves: Object.fromEntries(cells.map(movesOf).filter(([, moves]) => moves.length > 0)),
    costs: true,
  };
}

const noKind = { kind: "", inputs: {}, parameters: {} } as unknown as CellKind;

/** Whether a setting of a cell may be moved. */
export function mayMove({ moves }: Pick<HandoutChoice, "moves">, id: string, name: string): boolean {
  const of = Object.hasOwn(moves, id) ? moves[id] : [];
  return of === "all" || of.includes(name);
}
