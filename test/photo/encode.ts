/** The curve the other way: 0…1 linear light to 0…1 as stored. Source: IEC 61966-2-1. */
export function encode(linear: number): number {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}
