import { InputError } from "./outcome.ts";
import type { Offered, Quantity } from "./quantity.ts";

/** A quantity of one of several offering cells, with the text that names it. */
export interface NamedQuantity extends Quantity {
  /** "name" when one cell offers, "cell:name" when there are more. */
  readonly reference: string;
}

/**
 * Everything that may be asked of some cells: their results, and the numbers they are set to.
 * @param several whether each is named with its cell; when there are more cells than one unless told otherwise
 */
export function askable(cells: readonly Offered[], several = cells.length > 1): NamedQuantity[] {
  return cells.flatMap(({ cell, title, quantities, settings }) => {
    const named = (quantity: Quantity): NamedQuantity => ({
      ...quantity,
      reference: several ? `${cell}:${quantity.name}` : quantity.name,
      label: several ? `${title}: ${quantity.label}` : quantity.label,
    });
    const set = settings.map(({ name, spec, value }) =>
      named({
        name,
        label: `${spec.label}, as set`,
        unit: spec.unit ?? "",
        value,
        digits: spec.digits ?? decimalsOf(spec.step),
      }),
    );
    const results = quantities.map(named);
    const taken = new Set(results.map(({ reference }) => reference));
    return [...results, ...set.filter(({ reference }) => !taken.has(reference))];
  });
}

/**
 * The quantity that a text names, among those of some cells.
 * @param reference "name" or "cell:name"
 * @param others cells to look among when these have no such number
 * @throws InputError naming what there is
 */
export function quantityNamed(
  cells: readonly Offered[],
  reference: string,
  field: string,
  others: readonly Offered[] = [],
): NamedQuantity {
  const all = askable(cells);
  const named = [all, askable(cells, true), askable(others, true)];
  for (const quantities of named) {
    const found = quantities.find((quantity) => quantity.reference === reference);
    if (found) return named.indexOf(quantities) === 1 ? (all[quantities.indexOf(found)] ?? found) : found;
  }
  const byName = named.flat().find((quantity) => quantity.name === reference);
  if (byName) return byName;
  throw new InputError(`The linked cells have no number called "${reference}"`, {
    field,
    wayOut: `They have ${all.map((quantity) => quantity.reference).join(", ") || "none: link another cell"}`,
  });
}

/** A number with its unit as it stands in a text. */
export function quantityText({ value, unit, digits, none }: Omit<Quantity, "name" | "label">): string {
  if (value === undefined) return none ?? "none";
  const number = value
    .toFixed(digits)
    .replace(/^-(0(\.0*)?)$/, "$1")
    .replace("-", "−");
  const counted = unit === "coats" && number === "1" ? "coat" : unit;
  if (unit === "°") return `${number}°`;
  // The unit stays on the line of its number.
  return counted === "" ? number : `${number}\u00a0${counted}`;
}

/** What one quantity is more than another; hue angles go the short way round. */
export function quantityChange(quantity: NamedQuantity, against: NamedQuantity): NamedQuantity {
  const { value, unit } = quantity;
  if (value === undefined || against.value === undefined) {
    return { ...quantity, value: undefined, none: quantity.none ?? against.none };
  }
  let change = value - against.value;
  if (unit === "°") change = ((((change + 180) % 360) + 360) % 360) - 180;
  return { ...quantity, value: change, label: `${quantity.label}, counted from ${against.label}` };
}

const places = /\{([^{}]*)\}/g;
const namesOf = (place: string) => place.split(" - ").map((name) => name.trim());

/** The numbers that the places of a text name. */
export function namesIn(text: string): string[] {
  return [...text.matchAll(places)].flatMap(([, place]) => namesOf(place));
}

/**
 * A text with its places filled: `{name}`, `{cell:name}`, or `{one - other}` for a change.
 * @throws InputError for a place that names nothing
 */
export function fillText(
  text: string,
  cells: readonly Offered[],
  field: string,
  others: readonly Offered[] = [],
): string {
  return text.replace(places, (_, place: string) => {
    const [first, second] = namesOf(place).map((name) => quantityNamed(cells, name, field, others));
    return quantityText(second ? quantityChange(first, second) : first);
  });
}

function decimalsOf(step: number): number {
  for (let decimals = 0; decimals < 6; decimals++) {
    if (Math.abs(step - Number(step.toFixed(decimals))) < 1e-9) return decimals;
  }
  return 6;
}
