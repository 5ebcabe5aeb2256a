import type { CellKind } from "../src/graph/defineCell.ts";

const defines = import.meta.glob<{ default: CellKind }>("./*/define.ts");

/** Loads a kind of cell without its view; undefined for a name that is not known. */
export async function define(kind: string): Promise<CellKind | undefined> {
  const path = `./${kind}/define.ts`;
  return Object.hasOwn(defines, path) ? (await defines[path]()).default : undefined;
}
