import type { NotebookCell, NotebookDocument } from "../document/notebook.ts";

/** Kinds that are about money and nothing else. */
const aboutMoney: ReadonlySet<string> = new Set(["quote"]);

/**
 * A notebook that says nothing about money: without quotes and without what components cost, also where such a figure was
 * kept with an answer. Links to a quote are cut: what took from it computes without.
 */
export function withoutCosts(document: NotebookDocument): NotebookDocument {
  const gone = new Set(document.cells.filter(({ kind }) => aboutMoney.has(kind)).map(({ id }) => id));
  const cells = document.cells.filter(({ id }) => !gone.has(id));
  return { ...document, cells: cells.map((cell) => withoutCost(cutLinks(cell, gone))) };
}

/** A cell without its links to some others. */
export function cutLinks(cell: NotebookCell, gone: ReadonlySet<string>): NotebookCell {
  const entries = Object.entries(cell.inputs);
  if (!entries.some(([, to]) => [to].flat().some((id) => gone.has(id)))) return cell;
  const inputs = Object.fromEntries(
    entries.flatMap(([name, to]): [string, string | readonly string[]][] => {
      if (typeof to === "string") return gone.has(to) ? [] : [[name, to]];
      return [[name, to.filter((id) => !gone.has(id))]];
    }),
  );
  return { ...cell, inputs };
}

function withoutCost(cell: NotebookCell): NotebookCell {
  return { ...cell, parameters: bare(cell.parameters) as NotebookCell["parameters"] };
}

/** Names of figures in money. They may be left away, be null, or be empty words, as their settings allow. */
function bare(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(bare);
  if (typeof value !== "object" || value === null) return value;
  const all = Object.entries(value);
  // What a limit of a fit costs is a colour difference.
  const isDifference = "limit" in value;
  return Object.fromEntries(
    all.flatMap(([name, inner]): [string, unknown][] => {
      if (name === "costPerMl" || name === "price") return [];
      if (name === "costPerLitre") return [[name, ""]];
      if (name === "cost" && typeof inner === "number" && !isDifference) return [[name, null]];
      if (name === "showPrice") return [[name, false]];
      return [[name, bare(inner)]];
    }),
  );
}
