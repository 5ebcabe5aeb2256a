/**
 * Argument checks shared by the core. Each throws before any work is done and names value, unit and allowed range:
 * RangeError for a number that cannot be, TypeError for a wrong shape.
 */

const shown = (name: string, value: unknown, unit: string): string =>
  `${name} = ${String(value)}${unit === "" ? "" : ` ${unit}`}`;

/** Refuses anything but a finite number. @throws TypeError, RangeError */
export function finite(name: string, value: number, unit = ""): void {
  if (typeof value !== "number") throw new TypeError(`${name} must be a number, but is ${typeof value}`);
  if (!Number.isFinite(value)) throw new RangeError(`${shown(name, value, unit)}: must be a finite number`);
}

/** Refuses a negative or not finite number. @throws TypeError, RangeError */
export function atLeastZero(name: string, value: number, unit = ""): void {
  finite(name, value, unit);
  if (value < 0) throw new RangeError(`${shown(name, value, unit)}: must be at least 0`);
}

/** Refuses zero, a negative or a not finite number. @throws TypeError, RangeError */
export function aboveZero(name: string, value: number, unit = ""): void {
  finite(name, value, unit);
  if (value <= 0) throw new RangeError(`${shown(name, value, unit)}: must be above 0`);
}

/** Refuses a number outside min…max, ends included. @throws TypeError, RangeError */
export function within(name: string, value: number, min: number, max: number, unit = ""): void {
  finite(name, value, unit);
  if (value < min || value > max) {
    throw new RangeError(`${shown(name, value, unit)}: must be from ${min} to ${max}`);
  }
}

/** Refuses a number outside 0…1. @throws TypeError, RangeError */
export function fraction(name: string, value: number): void {
  within(name, value, 0, 1);
}

/** Refuses anything but a whole number of at least `min`. @throws TypeError, RangeError */
export function wholeNumber(name: string, value: number, min = 0): void {
  finite(name, value);
  if (!Number.isInteger(value) || value < min) {
    throw new RangeError(`${shown(name, value, "")}: must be a whole number, at least ${min}`);
  }
}

/** Refuses arrays of another length than stated. @throws TypeError */
export function ofLength(name: string, values: ArrayLike<unknown>, length: number): void {
  if (values.length !== length) {
    throw new TypeError(`${name} has ${values.length} values, but ${length} are needed`);
  }
}

/** Refuses two arrays that differ in length. @throws TypeError */
export function sameLength(nameA: string, a: ArrayLike<unknown>, nameB: string, b: ArrayLike<unknown>): void {
  if (a.length !== b.length) {
    throw new TypeError(`${nameA} has ${a.length} values, but ${nameB} has ${b.length}; they must match`);
  }
}

/** Applies one of the checks above to every value, naming the place (`K[3]`) of the first that fails. */
export function each(
  name: string,
  values: ArrayLike<number>,
  check: (name: string, value: number, unit?: string) => void,
  unit = "",
): void {
  for (let i = 0; i < values.length; i++) check(`${name}[${i}]`, values[i], unit);
}

/** Refuses anything but three finite numbers. @throws TypeError, RangeError */
export function triple(name: string, values: ArrayLike<number>): void {
  ofLength(name, values, 3);
  each(name, values, finite);
}

/** Refuses numbers that do not rise from one to the next. @throws RangeError */
export function increasing(name: string, values: ArrayLike<number>, unit = ""): void {
  for (let i = 1; i < values.length; i++) {
    if (!(values[i] > values[i - 1])) {
      throw new RangeError(
        `${shown(`${name}[${i}]`, values[i], unit)}: must be above the value before it (${values[i - 1]})`,
      );
    }
  }
}
