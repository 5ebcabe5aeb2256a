import type { Quantity } from "../graph/quantity.ts";

/** A share 0…1, told in per cent. */
export function share(name: string, label: string, value: number | undefined, digits = 1): Quantity {
  return { name, label, unit: "%", value: value === undefined ? undefined : 100 * value, digits };
}

/** A colour difference; undefined without a target, unless told otherwise. */
export function difference(
  name: string,
  label: string,
  value: number | undefined,
  none = "not known without a target",
): Quantity {
  return { name, label, unit: "", value, digits: 2, none };
}

/** Any other number with its unit. */
export function amount(
  name: string,
  label: string,
  value: number | undefined,
  unit: string,
  digits = 1,
): Quantity {
  return { name, label, unit, value, digits };
}

/** Lightness, chroma and hue of a colour, after a prefix of the name. */
export function colourQuantities(prefix: string, of: string, Lab: ArrayLike<number>): Quantity[] {
  const [L, a, b] = [Lab[0], Lab[1], Lab[2]];
  return [
    amount(`${prefix}lightness`, `L* of ${of}`, L, ""),
    amount(`${prefix}chroma`, `C* of ${of}`, Math.hypot(a, b), ""),
    amount(`${prefix}hue`, `hue of ${of}`, ((Math.atan2(b, a) * 180) / Math.PI + 360) % 360, "°"),
  ];
}
