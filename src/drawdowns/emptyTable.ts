import { wavelengths, workingGrid } from "../colour/grid.ts";

/** What an empty table is made for. */
interface TableToFill {
  readonly paste: string;
  /** names of the known components that are poured beside the paste: a white, a binder */
  readonly others: readonly string[];
  /** labels of the films to draw down, the bare card among them */
  readonly films: readonly string[];
  readonly readings: "spectra" | "colours";
}

/**
 * A table of drawdowns to fill in with a spreadsheet, in the units of the worksheet: grams, and µm as they were measured.
 * Rows that stay without a reading are passed over when it is read (src/tables/drawdownFile.ts).
 */
export function tableToFill({ paste, others, films, readings }: TableToFill): string {
  const field = (text: string) => {
    const line = text.replace(/\s+/g, " ").trim();
    return /[",;#]/.test(line) ? `"${line.replaceAll('"', '""')}"` : line;
  };
  const columns = [
    ...["label", "ground", "specular", "basis", "amount of paste"],
    ...others.map((name) => `amount of ${name}`),
    ...["dry_um", "wet_um", "gap_um"],
    ...(readings === "colours" ? ["L*", "a*", "b*"] : Array.from(wavelengths(workingGrid), String)),
  ];
  const row = (film: string, ground: string) => {
    const start = [film, ground, "included", film.toLowerCase().startsWith("bare") ? "" : "mass"];
    return [...start, ...columns.slice(start.length).map(() => "")].map(field).join(",");
  };
  return [
    ...tableWords.map((line) => `# ${line}`),
    ...(paste.trim() ? [`# paste: ${paste.replace(/\s+/g, " ").trim()}`] : []),
    "# paste density: ",
    "# paste volume solids: ",
    columns.map(field).join(","),
    ...films.flatMap((film) => [row(film, "black"), row(film, "white")]),
    "",
  ].join("\n");
}

/** The layout in words, for the head of the table and beside the button that saves it. */
export const tableWords: readonly string[] = [
  "One row for each reading; rows with the same label are one film, drawn down in one pull.",
  "label: the film, or bare card. ground: what lies under it, such as black or white.",
  "specular: included or excluded, as the instrument reads.",
  "basis: mass for amounts in g, volume for mL, dry volume for shares of the dry film.",
  "Thickness in µm in one of dry_um, wet_um (comb) or gap_um (applicator); empty where not known, opaque where it hides.",
  "Several readings of one film over one ground: a row for each. Rows without a reading are passed over.",
];
