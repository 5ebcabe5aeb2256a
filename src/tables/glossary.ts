import glossaryCsv from "../../data/glossary.csv?raw";
import { type CsvTable, parseCsvTable } from "./csvTable.ts";

/** A term of the trade or of colour with its meaning in plain words. */
export interface GlossaryTerm {
  readonly term: string;
  /** Other forms of it that stand in texts. */
  readonly also: readonly string[];
  readonly meaning: string;
}

/**
 * Reads a glossary table.
 * @throws RangeError naming file, row and field when a term or form appears twice or a meaning is missing
 */
export function readGlossary(table: CsvTable): readonly GlossaryTerm[] {
  const seen = new Map<string, number>();
  return Object.freeze(
    table.rows.map((row): GlossaryTerm => {
      const term = row.text("term");
      const also = row
        .optionalText("also")
        .split("|")
        .filter((form) => form !== "");
      for (const form of [term, ...also]) {
        const before = seen.get(form);
        if (before !== undefined) {
          throw new RangeError(`${table.file}, row ${row.line}: "${form}" stands in row ${before} already`);
        }
        seen.set(form, row.line);
      }
      return Object.freeze({ term, also: Object.freeze(also), meaning: row.text("meaning") });
    }),
  );
}

/** All terms, in alphabetical order. */
export const glossary: readonly GlossaryTerm[] = readGlossary(parseCsvTable(glossaryCsv, "glossary.csv"));
