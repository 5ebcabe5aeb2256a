import * as v from "valibot";
import { isCellId } from "../graph/cellId.ts";
import { messageOf } from "../graph/messageOf.ts";

const formatName = "bole-notebook";
/** The document form this program writes. Older forms are migrated, newer ones refused. */
export const formatVersion = 2;

/** Deepest nesting of lists and objects in a notebook, the notebook itself included. */
export const notebookNesting = 33;

const limits = { cells: 2000, title: 200, links: 64, kept: 24, depth: notebookNesting - 1 } as const;

const forbidden = new Set(["__proto__", "constructor", "prototype"]);
const safeKey = v.pipe(v.string(), v.maxLength(64, "a name of at most 64 characters is allowed"));
const id = v.pipe(
  v.string(),
  v.check(
    (text) => isCellId(text),
    "use 1 to 64 lower-case letters, digits and hyphens, starting with a letter",
  ),
);

/** Kind of a cell. */
export const kindSchema = v.pipe(
  v.string(),
  v.regex(/^[a-z][a-z0-9-]{0,40}$/, "use lower-case letters, digits and hyphens"),
);
/** Title of a cell or of a notebook. */
export const titleSchema = v.pipe(
  v.string(),
  v.maxLength(limits.title, `at most ${limits.title} characters`),
);
/** Settings of a cell. */
export const parametersSchema = v.record(safeKey, v.unknown());

const cellSchema = v.strictObject({
  id,
  kind: kindSchema,
  title: titleSchema,
  parameters: parametersSchema,
  inputs: v.record(
    safeKey,
    v.union(
      [id, v.pipe(v.array(id), v.maxLength(limits.links, `at most ${limits.links} links`))],
      "a cell id or a list of cell ids",
    ),
  ),
  library: v.optional(
    v.strictObject({
      name: v.pipe(v.string(), v.minLength(1, "a name is needed"), v.maxLength(80, "at most 80 characters")),
      version: v.pipe(
        v.number(),
        v.integer("a whole number from 1 is allowed"),
        v.minValue(1, "a whole number from 1 is allowed"),
      ),
    }),
  ),
});

/** How a notebook is looked at; nothing is computed from it, and nothing of it is work that could be lost. */
const viewSchema = v.strictObject({
  /** Cells that are folded to one line. */
  folded: v.pipe(v.array(id), v.maxLength(limits.cells, `at most ${limits.cells} cells`)),
  /** Pieces of cells that are kept in sight, in order. */
  sight: v.pipe(
    v.array(
      v.strictObject({
        cell: id,
        piece: v.pipe(v.string(), v.regex(/^[a-z][a-z0-9-]{0,63}$/i, "use letters, digits and hyphens")),
      }),
    ),
    v.maxLength(limits.kept, `at most ${limits.kept} kept in sight`),
  ),
});

// The form is strict: a part that is not named here is refused, so that a slip of the pen in a file does not pass for a
// setting. It grows by a new version with a migration that says what older notebooks mean.
const notebookSchema = v.strictObject({
  format: v.literal(formatName, `expected "${formatName}": this is not one of our notebooks`),
  version: v.literal(formatVersion),
  title: titleSchema,
  cells: v.pipe(v.array(cellSchema), v.maxLength(limits.cells, `at most ${limits.cells} cells`)),
  view: v.optional(viewSchema),
});

export interface NotebookCell {
  readonly id: string;
  readonly kind: string;
  readonly title: string;
  readonly parameters: Readonly<Record<string, unknown>>;
  readonly inputs: Readonly<Record<string, string | readonly string[]>>;
  /** Where the parameters were taken from; they are a copy, so that the notebook needs no library. */
  readonly library?: LibraryVersion;
}

/** A version of an item of the library. */
export interface LibraryVersion {
  readonly name: string;
  readonly version: number;
}

/** A piece of a cell that is kept in sight. */
export interface KeptPiece {
  readonly cell: string;
  readonly piece: string;
}

/** How a notebook is looked at: what is folded, and what is kept in sight. Ids of cells that are gone say nothing. */
export interface NotebookView {
  readonly folded: readonly string[];
  readonly sight: readonly KeptPiece[];
}

/** A saved notebook: an ordered list of cells, linked by id. */
export interface NotebookDocument {
  readonly format: typeof formatName;
  readonly version: typeof formatVersion;
  readonly title: string;
  readonly cells: readonly NotebookCell[];
  /** Left out: nothing is folded or kept. */
  readonly view?: NotebookView;
}

/** A notebook file that cannot be read; the message says where and what is allowed. */
class NotebookFormatError extends Error {
  readonly userMessage = true;
  override readonly name = "NotebookFormatError";
}

/**
 * Read a notebook from its saved text.
 * @throws NotebookFormatError with the place, the value and what is allowed
 */
export function parseNotebook(text: string): NotebookDocument {
  let plain: unknown;
  try {
    plain = JSON.parse(text);
  } catch (cause) {
    throw new NotebookFormatError(`The notebook is not valid JSON: ${messageOf(cause)}`, { cause });
  }
  return checkNotebook(plain);
}

/**
 * Check a plain object as a notebook, migrating older versions.
 * @throws NotebookFormatError with the place, the value and what is allowed
 */
export function checkNotebook(plain: unknown): NotebookDocument {
  refuseTraps(plain, "the notebook");
  const endless = endlessNumberIn(plain);
  if (endless !== undefined)
    throw new NotebookFormatError(`In the notebook, ${endless}: the number is too large to be kept`);
  return checkGuardedNotebook(plain);
}

/** As `checkNotebook`, for an object that was read with names into prototypes and deep nesting refused already. */
export function checkGuardedNotebook(plain: unknown): NotebookDocument {
  const document: NotebookDocument = checkSchema(notebookSchema, migrate(plain), "the notebook");
  const seen = new Set<string>();
  for (const cell of document.cells) {
    if (seen.has(cell.id))
      throw new NotebookFormatError(`In the notebook, two cells have the id "${cell.id}"`);
    seen.add(cell.id);
  }
  return document;
}

/** @throws NotebookFormatError with the place, the value and what is allowed */
export function checkSchema<Output>(
  schema: v.GenericSchema<unknown, Output>,
  plain: unknown,
  what: string,
): Output {
  const result = v.safeParse(schema, plain);
  if (result.success) return result.output;
  const [issue] = result.issues;
  const place = issue.path?.map((part) => part.key).join(" → ");
  const value = JSON.stringify(issue.input)?.slice(0, 60) ?? "missing";
  throw new NotebookFormatError(`In ${what}${place ? `, ${place}` : ""}: ${value}: ${issue.message}`);
}

/**
 * Where a number stands that was too large to read, such as 1e400: it counts as endless and would be saved as null.
 * @param value read from JSON, of bounded depth
 * @returns the names on the way to it, or undefined when every number is finite
 */
export function endlessNumberIn(value: unknown): string | undefined {
  if (typeof value === "number") return Number.isFinite(value) ? undefined : "";
  if (typeof value !== "object" || value === null) return undefined;
  if (Array.isArray(value)) {
    for (let i = 0; i < value.length; i++) {
      const inner = value[i];
      if (typeof inner === "number" && inner - inner === 0) continue; // most of a notebook
      const place = endlessNumberIn(inner);
      if (place !== undefined) return place === "" ? `${i}` : `${i} → ${place}`;
    }
    return undefined;
  }
  for (const key of Object.keys(value)) {
    const inner = (value as Record<string, unknown>)[key];
    if (typeof inner === "string") continue;
    const place = endlessNumberIn(inner);
    if (place !== undefined) return place === "" ? key : `${key} → ${place}`;
  }
  return undefined;
}

/** Names that reach into prototypes, and nesting without end, are refused before anything else looks at them. */
export function refuseTraps(value: unknown, place: string, depth = 0): void {
  if (typeof value !== "object" || value === null) return;
  if (depth > limits.depth)
    throw new NotebookFormatError(`In ${place}: nested more than ${limits.depth} levels deep`);
  if (Array.isArray(value)) {
    for (const item of value) if (typeof item === "object") refuseTraps(item, place, depth + 1);
    return;
  }
  for (const key of Object.keys(value)) {
    if (forbidden.has(key)) throw new NotebookFormatError(`In ${place}: the name "${key}" is not allowed`);
    refuseTraps((value as Record<string, unknown>)[key], key, depth + 1);
  }
}

/** One step for each past version, oldest first. */
const migrations: Readonly<Record<number, (plain: Record<string, unknown>) => Record<string, unknown>>> = {
  // Version 2 says how a notebook is looked at; before, nothing was folded or kept in sight.
  1: (plain) => ({ ...plain, version: 2 }),
};

function migrate(plain: unknown): unknown {
  if (typeof plain !== "object" || plain === null || Array.isArray(plain)) return plain;
  let document = plain as Record<string, unknown>;
  if (document.format !== formatName) return document;
  const { version } = document;
  if (typeof version !== "number" || !Number.isInteger(version) || version < 1 || version > formatVersion) {
    throw new NotebookFormatError(
      `The notebook has version ${JSON.stringify(version)}; this Bole reads versions 1 to ${formatVersion}` +
        (typeof version === "number" && version > formatVersion
          ? ". A newer Bole has written it: open it with that one"
          : ""),
    );
  }
  for (let at = version; at < formatVersion; at++) document = migrations[at](document);
  return document;
}

/** The text to save: stable, readable, one line end at the end; how it is looked at comes last. */
export function serialiseNotebook(document: NotebookDocument): string {
  const { format, title, cells, view } = document;
  return `${JSON.stringify({ format, version: formatVersion, title, cells, view }, null, 1)}\n`;
}

/** A notebook with nothing in it. */
export function emptyNotebook(title: string): NotebookDocument {
  return { format: formatName, version: formatVersion, title, cells: [] };
}
