import type { ShelfRow } from "../tables/shelfFile.ts";
import type { Panel } from "./panel.ts";
import { rowsOfPanels } from "./shelfRows.ts";

const thicknessColumns = { dry: "dry_um", wet: "wet_um", gap: "gap_um", amount: "amount" } as const;
type Basis = keyof typeof thicknessColumns;

/**
 * Panels as CSV in the layout of files of films (src/tables/shelfFile.ts). Read back they are the same panels, but for
 * where they came from and for the ids of their ingredients.
 *
 * @throws RangeError in plain words for films in µm beside films by laid amount, for which the layout has no place
 */
export function writePanels(panels: readonly Panel[]): string {
  const { components, rows } = rowsOfPanels(panels, "ledger").file;
  const bases = new Set(
    rows.flatMap(({ thickness }) => (typeof thickness === "object" ? [thickness.basis] : [])),
  );
  if (bases.has("amount") && bases.size > 1) {
    throw new RangeError(
      "some thicknesses are in µm and some are laid amounts: a file has room for one of the two. Set the others aside first",
    );
  }
  if (bases.size === 0) bases.add("dry");
  const order = (Object.keys(thicknessColumns) as Basis[]).filter((basis) => bases.has(basis));
  const wavelengths = [...new Set(rows.flatMap((row) => row.wavelengths))].sort((a, b) => a - b);
  const columns: [string, (row: ShelfRow) => string | number][] = [
    // First, because a row that begins with # would be read as a comment.
    ["specular", ({ specular }) => specular],
    ["label", ({ label }) => label],
    ["ground", ({ ground }) => ground],
    ["over", ({ over }) => over],
    ["basis", ({ basis, bare }) => (bare ? "" : basis)],
    ...components.map((name, k): (typeof columns)[number] => [
      `amount of ${oneLine(name)}`,
      ({ amounts, bare }) => (bare ? "" : amounts[k]),
    ]),
    ...order.map((basis, k): (typeof columns)[number] => [
      thicknessColumns[basis],
      ({ thickness }) =>
        typeof thickness === "object"
          ? thickness.basis === basis
            ? thickness.value
            : ""
          : thickness === "opaque" && k === 0
            ? "opaque"
            : "",
    ]),
    ["error_percent", ({ errorPercent }) => errorPercent ?? ""],
    ["coats", ({ coats, bare }) => (bare ? "" : coats)],
    ["date", ({ date }) => date],
    ["batch", ({ batch }) => batch],
    ["habit", ({ habit }) => habit],
    ["light", ({ light }) => light],
    ["lab_error", ({ Lab, labError }) => (Lab ? labError : "")],
    ...(["L*", "a*", "b*"] as const).map((name, k): (typeof columns)[number] => [
      name,
      ({ Lab }) => Lab?.[k] ?? "",
    ]),
    ["set_aside", ({ setAside }) => setAside],
    ...wavelengths.map((nm): (typeof columns)[number] => [
      String(nm),
      (row) => {
        const at = row.wavelengths.indexOf(nm);
        return at < 0 ? "" : row.values[at];
      },
    ]),
  ];
  const lines = rows.map((row) => columns.map(([, cell]) => cell(row)));
  return `${[columns.map(([name]) => name), ...lines]
    .map((cells) => cells.map((cell) => quoted(oneLine(String(cell)))).join(","))
    .join("\n")}\n`;
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, " ").replaceAll("\0", "").trim();
}

function quoted(field: string): string {
  return /[",;#\t]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
