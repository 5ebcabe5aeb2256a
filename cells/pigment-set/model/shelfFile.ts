import Papa from "papaparse";
import * as v from "valibot";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import { type ComponentParameter, componentSchema } from "../../../src/ports/pigmentSet.ts";
import { type CsvRow, parseCsvTable } from "../../../src/tables/csvTable.ts";
import { freeId } from "./shelf.ts";

const nm = Array.from(wavelengths(workingGrid));
const plain = [
  "id",
  "name",
  "kind",
  "colour_index",
  "density_g_per_ml",
  "volume_solids",
  "cost_per_ml",
  "least_dose_per_100_ml",
  "sizes_ml",
  "light_fastness",
  "known_from",
  "note",
  "scale_doubt",
] as const;
const curves = {
  K: "absorption",
  S: "scattering",
  K_sigma: "absorptionSigma",
  S_sigma: "scatteringSigma",
} as const;

/**
 * A shelf as CSV, one row for each component, which a spreadsheet opens: figures first, then K and S in 1/µm of dry film for
 * every wavelength, with their 1σ where known. Joint draws are left out: no person reads them in a spreadsheet.
 */
export function writeShelf(components: readonly ComponentParameter[], title: string): string {
  const columns = [...plain, ...Object.keys(curves).flatMap((name) => nm.map((at) => `${name}_${at}`))];
  const figures = (component: ComponentParameter) => [
    component.id,
    component.name,
    component.role,
    component.colourIndex,
    component.density,
    component.volumeSolids,
    component.costPerMl,
    component.leastDose,
    component.containers?.join(" "),
    component.lightfastness,
    component.provenance.kind,
    component.provenance.note,
    component.scaleSigma,
    ...Object.values(curves).flatMap((name) => nm.map((_, i) => component[name]?.[i])),
  ];
  const data = components.map((component) =>
    figures(component).map((value) => String(value ?? "").replace(/\s+/g, " ")),
  );
  const heading = `# ${title.replace(/\s+/g, " ")}: K and S in 1/µm of dry film, cost in your own money`;
  // A semicolon in a text must not be taken for the end of a field either.
  const quotes = (value: string) => value.includes(";");
  return `${heading}\n${Papa.unparse({ fields: columns, data }, { newline: "\n", quotes })}\n`;
}

/**
 * Reads a shelf as `writeShelf` writes it, also as a spreadsheet saves it with semicolons and decimal commas.
 *
 * @param file name for messages
 * @throws RangeError naming file, row and field
 */
export function readShelf(text: string, file: string): ComponentParameter[] {
  const table = parseCsvTable(withCommas(text.replace(/^\uFEFF/, "")), file);
  if (table.rows.length > 100)
    throw new RangeError(`${file}: ${table.rows.length} components: at most 100 are allowed`);
  const has = new Set(table.columns);
  for (const needed of [
    "name",
    "kind",
    "density_g_per_ml",
    "volume_solids",
    ...nm.flatMap((at) => [`K_${at}`, `S_${at}`]),
  ]) {
    if (!has.has(needed)) throw new RangeError(`${file}: there is no column "${needed}"`);
  }
  const taken = new Set<string>();
  return table.rows.map((row) => {
    const optional = (name: (typeof plain)[number]) => (has.has(name) ? row.optionalText(name).trim() : "");
    const number = (name: (typeof plain)[number]) => (has.has(name) ? row.optionalNumber(name) : undefined);
    const name = row.text("name");
    const id = freeId(optional("id") || name, taken);
    taken.add(id);
    const given = {
      id,
      name,
      role: row.text("kind"),
      ...said({ colourIndex: optional("colour_index"), lightfastness: optional("light_fastness") }),
      density: row.number("density_g_per_ml"),
      volumeSolids: row.number("volume_solids"),
      ...said({ costPerMl: number("cost_per_ml"), scaleSigma: number("scale_doubt") }),
      ...said({ leastDose: number("least_dose_per_100_ml"), containers: sizesOf(optional("sizes_ml")) }),
      ...said(
        Object.fromEntries(
          Object.entries(curves).map(([column, field]) => [field, curveOf(row, column, has)]),
        ),
      ),
      provenance: { ...said({ kind: optional("known_from") || "imported", note: optional("note") }) },
    };
    const checked = v.safeParse(componentSchema, given);
    if (checked.success) return checked.output;
    const [issue] = checked.issues;
    const where = issue.path?.map(({ key }) => String(key)).join(" → ") ?? "";
    throw new RangeError(`${file}, row ${row.line}: ${where}: ${issue.message}`);
  });
}

/** Sizes in mL with spaces between them. What is no number is refused where the component is checked. */
function sizesOf(text: string): number[] | undefined {
  return text === "" ? undefined : text.split(/\s+/).map(Number);
}

function curveOf(row: CsvRow, column: string, has: ReadonlySet<string>): number[] | undefined {
  const names = nm.map((at) => `${column}_${at}`);
  if (!names.every((name) => has.has(name) && row.optionalText(name).trim() !== "")) {
    if (column === "K" || column === "S") for (const name of names) row.number(name);
    return undefined;
  }
  return names.map((name) => row.number(name));
}

function said<Fields extends object>(fields: Fields): Partial<Fields> {
  return Object.fromEntries(
    Object.entries(fields).filter(([, value]) => value !== undefined && value !== ""),
  ) as Partial<Fields>;
}

const decimalComma = /^[-+]?\d*,\d+(?:e[-+]?\d+)?$/i;

/** What a spreadsheet saved with semicolons and decimal commas, with commas and points. */
function withCommas(text: string): string {
  const lines = text.split(/\r\n?|\n/);
  const header = lines.find((line) => line.trim() !== "" && !line.startsWith("#")) ?? "";
  if (header.split(";").length <= header.split(",").length) return lines.join("\n");
  const withPoints = (line: string) => {
    if (line === "" || line.startsWith("#")) return line;
    const { data, errors } = Papa.parse<string[]>(line, { delimiter: ";" });
    // What is wrong with its quotation marks is told where the table is read.
    if (errors.length > 0) return line;
    const fields = data[0].map((field) =>
      decimalComma.test(field.trim()) ? field.trim().replace(",", ".") : field,
    );
    return Papa.unparse([fields]);
  };
  return lines.map(withPoints).join("\n");
}
