import cautionsCsv from "../../data/cautions.csv?raw";
import { parseCsvTable } from "./csvTable.ts";

export interface Caution {
  readonly id: string;
  /** what brings it about */
  readonly when: CautionTrigger;
  /** one line for the job sheet */
  readonly short: string;
  readonly text: string;
  /** rule or text it points to */
  readonly pointer: string;
}

const cautionTriggers = [
  "always",
  "spraying",
  "isocyanate",
  "isocyanate spraying",
  "solvent",
  "solvent spraying",
  "vehicle",
  "vehicle spraying",
  "children",
] as const;
type CautionTrigger = (typeof cautionTriggers)[number];

/**
 * Reads a table of cautions.
 * @throws RangeError naming file, row and field for an unknown trigger or an empty field
 */
export function readCautions(csv: string, file: string): readonly Caution[] {
  const table = parseCsvTable(csv, file);
  return Object.freeze(
    table.rows.map((row) => {
      const when = row.text("when");
      if (!(cautionTriggers as readonly string[]).includes(when)) {
        throw new RangeError(
          `${file}, row ${row.line}, field "when": "${when}" is unknown; known: ${cautionTriggers.join(", ")}`,
        );
      }
      return Object.freeze({
        id: row.text("id"),
        when: when as CautionTrigger,
        short: row.text("short"),
        text: row.text("text"),
        pointer: row.text("pointer"),
      });
    }),
  );
}

/** Every caution that the workbench knows. */
export const cautions: readonly Caution[] = readCautions(cautionsCsv, "cautions.csv");
