declare const brand: unique symbol;

/** Identity of a cell within its notebook: letters, digits and hyphens, never a name that the runtime keeps for itself. */
export type CellId = string & { readonly [brand]: "CellId" };

const reserved = new Set(["invalidation", "visibility"]);
const pattern = /^[a-z][a-z0-9-]{0,63}$/;

/** Whether a text may serve as a cell id. */
export function isCellId(text: unknown): text is CellId {
  return typeof text === "string" && pattern.test(text) && !reserved.has(text);
}

/**
 * Check a text and brand it as a cell id.
 * @throws RangeError when it is not lower-case letters, digits and hyphens (1 to 64, starting with a letter), or reserved
 */
function cellId(text: string): CellId {
  if (!isCellId(text)) {
    throw new RangeError(
      `cell id "${String(text).slice(0, 80)}": use 1 to 64 lower-case letters, digits and hyphens, starting with a letter`,
    );
  }
  return text;
}

/** The first of `stem`, `stem-2`, `stem-3`, … that is not taken. */
export function freeCellId(stem: string, taken: Iterable<string>): CellId {
  const used = new Set(taken);
  const base = pattern.test(stem) && !reserved.has(stem) ? stem.slice(0, 56) : "cell";
  if (!used.has(base)) return cellId(base);
  // Among one more than are taken, one is free.
  let number = 2;
  for (; number <= used.size + 1 && used.has(`${base}-${number}`); number++);
  return cellId(`${base}-${number}`);
}
