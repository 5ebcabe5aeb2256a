import { isBareCard } from "../tables/bareCard.ts";
import { drawdownFileLimits } from "../tables/drawdownFile.ts";
import {
  type AnyReading,
  groundKey,
  type KeptFilm,
  type KeptReading,
  type KeptTable,
  rounded,
} from "./keptTable.ts";

// Changes to a table of drawdowns. Every one gives a new table and leaves the old one as it was, so that it can be undone.

/** An empty table, made by hand. */
export function emptyTable<Reading>(): KeptTable<Reading> {
  return { file: "typed by hand", components: [], films: [], bare: [], notes: [] };
}

/** The table with one drawdown more, to be filled in: the paste alone, its thickness not known yet. */
export function withNewFilm<Reading>(table: KeptTable<Reading>): KeptTable<Reading> {
  const names = new Set(table.films.map(({ label }) => label.toLowerCase()));
  let number = table.films.length + 1;
  for (const more = number + names.size; number < more && names.has(`drawdown ${number}`); number++);
  const film: KeptFilm<Reading> = {
    label: `Drawdown ${number}`,
    use: true,
    basis: table.films.at(-1)?.basis ?? "mass",
    amounts: [1, ...table.components.map(() => 0)],
    thickness: { kind: "unknown" },
    readings: [],
  };
  return { ...table, films: [...table.films, film] };
}

/** The table with a drawdown changed. */
export function withFilm<Reading>(
  table: KeptTable<Reading>,
  index: number,
  patch: Partial<KeptFilm<Reading>>,
): KeptTable<Reading> {
  return { ...table, films: table.films.map((film, at) => (at === index ? { ...film, ...patch } : film)) };
}

/** The table without a drawdown, and without components that no other one holds. */
export function withoutFilm<Reading>(table: KeptTable<Reading>, index: number): KeptTable<Reading> {
  return withoutIdle({ ...table, films: table.films.filter((_, at) => at !== index) });
}

/** What is wrong with a label, in words; undefined when it may be used. */
export function labelTrouble(table: KeptTable<unknown>, index: number, label: string): string | undefined {
  const name = label.replace(/\s+/g, " ").trim();
  if (name === "") return "The label is empty. Name the drawdown.";
  if (name.length > drawdownFileLimits.name)
    return `The label has ${name.length} signs; at most ${drawdownFileLimits.name} are allowed.`;
  if (isBareCard(name)) return `“${name}” means the uncoated card. Name the drawdown differently.`;
  const other = table.films.findIndex((film, at) => at !== index && film.label === name);
  return other < 0 ? undefined : `Another drawdown is called “${name}”. Give this one a name of its own.`;
}

/** The table with the amount of a component (id; undefined = the paste) in a drawdown; a component it had not is added. */
export function withAmount<Reading>(
  table: KeptTable<Reading>,
  index: number,
  component: string | undefined,
  amount: number,
): KeptTable<Reading> {
  const known = component === undefined || table.components.includes(component);
  const whole = known
    ? table
    : {
        ...table,
        components: [...table.components, component],
        films: table.films.map((film) => ({ ...film, amounts: [...film.amounts, 0] })),
      };
  const place = component === undefined ? 0 : whole.components.indexOf(component) + 1;
  const amounts = whole.films[index].amounts.map((value, at) => (at === place ? amount : value));
  return withoutIdle(withFilm(whole, index, { amounts }));
}

/** Whether one more component may be added. */
export function hasRoomForComponent({ components }: KeptTable<unknown>): boolean {
  return components.length + 1 < drawdownFileLimits.components;
}

/** Components that stand in no drawdown are dropped. */
function withoutIdle<Reading>(table: KeptTable<Reading>): KeptTable<Reading> {
  const idle = table.components.map((_, j) => table.films.every(({ amounts }) => !(amounts[j + 1] > 0)));
  if (!idle.includes(true)) return table;
  return {
    ...table,
    components: table.components.filter((_, j) => !idle[j]),
    films: table.films.map((film) => ({
      ...film,
      amounts: film.amounts.filter((_, at) => at === 0 || !idle[at - 1]),
    })),
  };
}

/** Readings with one more: curves over the same ground in the same mode are averaged, colours stand side by side. */
export function withReading<Reading extends AnyReading>(
  readings: readonly Reading[],
  reading: Reading,
): Reading[] {
  if ("Lab" in reading) return [...readings, reading];
  const twin = readings.findIndex((other) => samePlace(other, reading));
  if (twin < 0) return [...readings, reading];
  const mean = averaged(readings[twin] as KeptReading, reading as KeptReading) as Reading;
  return readings.map((other, at) => (at === twin ? mean : other));
}

/** Readings with the specular mode of one of them changed. */
export function withSpecular<Reading extends AnyReading>(
  readings: readonly Reading[],
  index: number,
  specular: "included" | "excluded",
): Reading[] {
  const changed = { ...readings[index], specular };
  const others = readings.filter((_, at) => at !== index);
  if ("Lab" in changed || !others.some((other) => samePlace(other, changed)))
    return readings.map((other, at) => (at === index ? changed : other));
  return withReading(others, changed);
}

/** Readings with their two grounds exchanged; unchanged when there are not exactly two. */
export function withGroundsExchanged<Reading extends AnyReading>(readings: readonly Reading[]): Reading[] {
  const [first, second, ...more] = groundsOf(readings);
  if (second === undefined || more.length > 0) return [...readings];
  return readings.map((reading) => ({
    ...reading,
    ground: groundKey(reading.ground) === groundKey(first) ? second : first,
  }));
}

/** Names of the grounds of some readings, each once. */
export function groundsOf(readings: readonly { readonly ground: string }[]): string[] {
  const names = new Map<string, string>();
  for (const { ground } of readings) {
    const key = groundKey(ground);
    if (!names.has(key)) names.set(key, ground.trim());
  }
  return [...names.values()];
}

function samePlace(a: AnyReading, b: AnyReading): boolean {
  return a.specular === b.specular && groundKey(a.ground) === groundKey(b.ground);
}

/**
 * Mean, spread and number of two lots of repeats together.
 * identity: sums of values and of squared deviations from the common mean add up.
 */
function averaged(a: KeptReading, b: KeptReading): KeptReading {
  const repeats = a.repeats + b.repeats;
  const reflectance = a.reflectance.map(
    (value, i) => (a.repeats * value + b.repeats * b.reflectance[i]) / repeats,
  );
  const spread = a.spread.map((own, i) => {
    const within = (a.repeats - 1) * own ** 2 + (b.repeats - 1) * b.spread[i] ** 2;
    const between =
      a.repeats * (a.reflectance[i] - reflectance[i]) ** 2 +
      b.repeats * (b.reflectance[i] - reflectance[i]) ** 2;
    return Math.sqrt((within + between) / (repeats - 1));
  });
  const singlesOf = (one: KeptReading) => (one.repeats === 1 ? [one.reflectance] : one.singles);
  const [own, others] = [singlesOf(a), singlesOf(b)];
  const { ground, specular } = a;
  const mean = { ground, specular, reflectance: rounded(reflectance), spread: rounded(spread), repeats };
  return own && others ? { ...mean, singles: [...own, ...others] } : mean;
}
