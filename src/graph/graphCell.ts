/** A cell as the graph sees it; the document's cells have this shape. */
export interface GraphCell {
  readonly id: string;
  readonly kind: string;
  readonly title: string;
  readonly parameters: Readonly<Record<string, unknown>>;
  readonly inputs: Readonly<Record<string, string | readonly string[]>>;
}

/** The ids a cell is linked to, port by port. */
export function linkedIds(cell: GraphCell): string[] {
  return Object.values(cell.inputs).flat();
}
