import { bottlesOf } from "../shelf/bottles.ts";
import { rowLight } from "../shelf/rowLight.ts";
import type { ShelfFile, ShelfRow } from "../tables/shelfFile.ts";
import { ledgerLimits, type Panel, type PanelFilm } from "./panel.ts";

// Panels as rows of a file of films (src/tables/shelfFile.ts), and rows as panels. Rows name grounds and films by labels;
// panels hold everything themselves.

/** The observer that a row is taken to mean, as nearly all instruments do. */
const usualObserver = "1964-10";

/** Light of a row, with the observer where it is another: "D65", "D65 1931-2". */
function lightText({ illuminant, observer }: { illuminant: string; observer: string }): string {
  return observer === usualObserver ? illuminant : `${illuminant} ${observer}`;
}

interface Naming {
  /** Column under which an ingredient stands. */
  readonly nameOf: (part: PanelFilm["parts"][number]) => string;
}

/**
 * Panels as a file of films. Panels of one label that are one film share it; others of the same label are told apart, as
 * are grounds of one name with different readings.
 *
 * @returns the file, and the panel of each of its rows (undefined for bare grounds and for films below)
 */
export function rowsOfPanels(
  panels: readonly Panel[],
  file: string,
  { nameOf }: Naming = { nameOf: ({ name }) => name },
): { file: ShelfFile; panels: readonly (Panel | undefined)[] } {
  const { components, filmFields, blank } = columnsOf(panels, nameOf);
  const rows: ShelfRow[] = [];
  const of: (Panel | undefined)[] = [];
  const put = (row: Omit<ShelfRow, "row">, panel?: Panel) => {
    rows.push({ ...row, row: rows.length + 2 });
    of.push(panel);
  };
  const grounds = new Labels();
  const films = new Labels();
  for (const { ground } of panels) {
    const { name, isNew } = grounds.of(ground.name, ground.reading ?? null);
    if (!isNew || !ground.reading) continue;
    const { specular, wavelengths, values } = ground.reading;
    put({ ...blank, label: "bare", bare: true, ground: name, specular, wavelengths, values });
  }
  for (const panel of panels) {
    const ground = grounds.of(panel.ground.name, panel.ground.reading ?? null).name;
    const own = {
      film: filmFields(panel),
      below: panel.below ?? [],
      ...(panel.below ? { ground } : {}),
      date: panel.date,
    };
    // "bare" is no name for a film.
    const wished = panel.label.toLowerCase() === "bare" ? "bare film" : panel.label;
    const { name: label, isNew } = films.of(wished, own);
    let over = "";
    (panel.below ?? []).forEach((film, k) => {
      const name = films.of(`${label}, layer ${k + 1}`, { label, k }).name;
      if (isNew) put({ ...blank, ...filmFields(film), label: name, ground, over });
      over = name;
    });
    const { reading } = panel;
    put(
      {
        ...blank,
        ...filmFields(panel),
        label,
        ground,
        over,
        date: panel.date,
        habit: panel.habit,
        setAside: panel.setAside,
        specular: reading.specular,
        ...(reading.kind === "spectrum"
          ? { wavelengths: reading.wavelengths, values: reading.values }
          : { Lab: [...reading.Lab], labError: reading.sigma, light: lightText(reading) }),
      },
      panel,
    );
  }
  return { file: { file, components, rows, notes: [] }, panels: of };
}

/** The columns of ingredients, what a row says of a film, and a row that says nothing. */
function columnsOf(panels: readonly Panel[], nameOf: Naming["nameOf"]) {
  const components: string[] = [];
  const column = new Map<string, number>();
  for (const { parts } of panels.flatMap((panel) => [panel, ...(panel.below ?? [])])) {
    for (const part of parts) {
      const name = nameOf(part);
      if (column.has(name.toLowerCase())) continue;
      column.set(name.toLowerCase(), components.length);
      components.push(name);
    }
  }
  const filmFields = (film: PanelFilm) => {
    const amounts = components.map(() => 0);
    for (const part of film.parts) amounts[column.get(nameOf(part).toLowerCase()) as number] += part.amount;
    const { basis, thickness, coats, parts } = film;
    return {
      basis,
      amounts,
      coats,
      batch: parts.flatMap((part) => (part.batch ? [`${nameOf(part)}: ${part.batch}`] : [])).join("; "),
      thickness:
        typeof thickness === "object" ? { basis: thickness.basis, value: thickness.value } : thickness,
      errorPercent: typeof thickness === "object" ? thickness.errorPercent : undefined,
    };
  };
  const blank = {
    bare: false,
    ground: "",
    over: "",
    specular: "included",
    basis: "volume",
    amounts: components.map(() => 0),
    thickness: "unknown",
    coats: 1,
    date: "",
    batch: "",
    habit: "",
    light: "",
    setAside: "",
    wavelengths: [],
    values: [],
    labError: 1,
  } as const;
  return { components, filmFields, blank };
}

/** Names that stand for one thing each: the second thing called "red" is "red (2)". */
class Labels {
  readonly #byThing = new Map<string, string>();
  readonly #used = new Set<string>();

  of(wished: string, thing: unknown): { name: string; isNew: boolean } {
    const key = JSON.stringify([wished.toLowerCase(), thing]);
    const known = this.#byThing.get(key);
    if (known !== undefined) return { name: known, isNew: false };
    let name = wished;
    // One more try than there are names in use finds a free one.
    for (let k = 2; k <= this.#used.size + 2 && this.#used.has(name.toLowerCase()); k++) {
      name = `${wished} (${k})`;
    }
    this.#used.add(name.toLowerCase());
    this.#byThing.set(key, name);
    return { name, isNew: true };
  }
}

/** What became of the rows of a file. */
interface PanelsOfRows {
  readonly panels: readonly Panel[];
  /** Rows that became no panel, and why. */
  readonly notes: readonly string[];
}

/**
 * The panels of a file of films: one for each row with a reading.
 *
 * @param componentOf id of the component that a name stands for on the shelf at hand
 */
export function panelsOfRows(
  file: ShelfFile,
  componentOf: (name: string) => string | undefined = () => undefined,
): PanelsOfRows {
  const notes = [...file.notes];
  const bare = bareGrounds(file, notes);
  const panels = file.rows.flatMap((row): Panel[] => {
    if (row.bare || (row.values.length === 0 && !row.Lab)) return [];
    const leftOut = (why: string): Panel[] => {
      notes.push(`row ${row.row}: ${why}; it was left out`);
      return [];
    };
    const stack = rowsBelow(row, file);
    if (!stack) return leftOut(`there is no film "${row.over}" below it`);
    const { ground: name } = stack[0] ?? row;
    const ground = bare.get(name.trim().toLowerCase());
    if (!ground && row.thickness !== "opaque") return leftOut(`the ground "${name}" has no reading`);
    if (row.coats !== Math.round(row.coats)) {
      notes.push(`row ${row.row}: coats were rounded to a whole number`);
    }
    return [
      {
        label: row.label,
        ...filmOf(row, file, componentOf),
        ground: { name, ...(ground ? { reading: spectrumOf(ground) } : {}) },
        ...(stack.length > 0 ? { below: stack.map((one) => filmOf(one, file, componentOf)) } : {}),
        reading: row.Lab ? colourOf(row, row.Lab) : { kind: "spectrum", ...spectrumOf(row) },
        habit: row.habit,
        date: row.date,
        origin: file.file.slice(0, 200),
        setAside: row.setAside,
      },
    ];
  });
  return { panels, notes: [...new Set(notes)] };
}

/** The reading of each bare ground, by its name. */
function bareGrounds({ rows }: ShelfFile, notes: string[]): Map<string, ShelfRow> {
  const bare = new Map<string, ShelfRow>();
  for (const row of rows) {
    if (!row.bare || row.values.length === 0 || row.setAside !== "") continue;
    const name = row.ground.trim().toLowerCase();
    if (bare.has(name)) notes.push(`of several readings of the ground "${row.ground}" the first was taken`);
    else bare.set(name, row);
  }
  return bare;
}

/** The rows of the films below one, from the ground; undefined where one of them is not there, or they go in a circle. */
function rowsBelow(row: ShelfRow, { rows }: ShelfFile): ShelfRow[] | undefined {
  const below: ShelfRow[] = [];
  let at = row;
  for (let depth = 0; depth <= ledgerLimits.below; depth++) {
    if (at.over === "") return below;
    const label = at.over.toLowerCase();
    const under = rows.find((one) => !one.bare && one.label.toLowerCase() === label);
    if (!under) return undefined;
    below.unshift(under);
    at = under;
  }
  return undefined;
}

function filmOf(
  row: ShelfRow,
  { components }: ShelfFile,
  componentOf: (name: string) => string | undefined,
): PanelFilm {
  const inside = row.amounts.flatMap((amount, k) => (amount > 0 ? [{ amount, name: components[k] }] : []));
  const bottles = bottlesOf(
    row.batch,
    inside.map(({ name }) => name),
  );
  const { thickness, errorPercent, basis } = row;
  return {
    basis,
    parts: inside.map(({ name, amount }, k) => {
      const component = componentOf(name);
      const batch = bottles[k];
      return { name, amount, ...(component ? { component } : {}), ...(batch ? { batch } : {}) };
    }),
    thickness:
      typeof thickness === "object"
        ? { ...thickness, ...(errorPercent === undefined ? {} : { errorPercent }) }
        : thickness,
    coats: Math.round(row.coats),
  };
}

function spectrumOf({ specular, wavelengths, values }: ShelfRow) {
  return { specular, wavelengths: [...wavelengths], values: [...values] };
}

function colourOf(
  { specular, light, labError }: ShelfRow,
  [L, a, b]: readonly [number, number, number],
): Panel["reading"] {
  const { illuminant = "D65", observer = usualObserver } = rowLight(light);
  return { kind: "lab", specular, Lab: [L, a, b], illuminant, observer, sigma: labError };
}
