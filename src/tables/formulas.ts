import formulasCsv from "../../data/formulas.csv?raw";
import { type CsvTable, parseCsvTable } from "./csvTable.ts";

/** A formula that cells compute by. */
export interface Formula {
  readonly id: string;
  /** Kinds of cell that compute by it. */
  readonly cells: readonly string[];
  readonly name: string;
  /** In plain signs, to be read as text. */
  readonly formula: string;
  /** What its letters mean, with units. */
  readonly meaning: string;
  readonly source: string;
}

/**
 * Reads a table of formulas.
 * @throws RangeError naming file, row and field when an id appears twice or a field is missing
 */
export function readFormulas(table: CsvTable): readonly Formula[] {
  const seen = new Map<string, number>();
  return Object.freeze(
    table.rows.map((row): Formula => {
      const id = row.text("id");
      const before = seen.get(id);
      if (before !== undefined) {
        throw new RangeError(`${table.file}, row ${row.line}: "${id}" stands in row ${before} already`);
      }
      seen.set(id, row.line);
      return Object.freeze({
        id,
        cells: Object.freeze(row.text("cells").split("|")),
        name: row.text("name"),
        formula: row.text("formula"),
        meaning: row.text("meaning"),
        source: row.text("source"),
      });
    }),
  );
}

/** All formulas, from the film upward to the job. */
export const formulas: readonly Formula[] = readFormulas(parseCsvTable(formulasCsv, "formulas.csv"));
