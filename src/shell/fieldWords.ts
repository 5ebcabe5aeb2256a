import type { FieldDifference } from "../document/compare.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { Registry } from "../graph/defineCell.ts";

/** A changed setting or link in words, such as: Share of the second paint 0.4 → 0.55. */
export function fieldWords(field: FieldDifference, cell: NotebookCell, registry: Registry): string {
  const kind = registry.get(cell.kind);
  const label =
    (field.part === "parameter" ? kind?.parameters[field.name]?.label : undefined) ??
    (field.part === "input" ? kind?.inputs[field.name]?.label : undefined) ??
    field.name;
  const [before, after] = [valueWords(field.before), valueWords(field.after)];
  return before === undefined || after === undefined ? label : `${label} ${before} → ${after}`;
}

/** Short values as they are; undefined for anything with structure. */
function valueWords(value: unknown): string | undefined {
  if (value === undefined || value === null) return "none";
  if (typeof value === "number" || typeof value === "boolean") return String(value);
  if (typeof value === "string") return value.length > 40 ? undefined : `“${value}”`;
  return undefined;
}
