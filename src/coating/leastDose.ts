import type { Component } from "./component.ts";

/** Least dose of a component, mL per 100 mL: its own, or the general one. */
export function leastDoseOf({ leastDose }: Pick<Component, "leastDose">, general: number): number {
  return leastDose ?? general;
}

/** The least doses of a fit in words. */
export function leastDoseWords(components: readonly Component[], general: number): string {
  const own = components.some(({ leastDose }) => leastDose !== undefined);
  return own ? "the least sensible doses" : `the least sensible dose of ${general} mL per 100 mL`;
}

/** In words, each component of a mix of which there is less than its own least dose. @param volumes in any one unit */
export function tooLittle(components: readonly Component[], volumes: ArrayLike<number>): string[] {
  const total = Array.from(volumes).reduce((sum, volume) => sum + volume, 0);
  return components.flatMap(({ name, leastDose = 0 }, j) => {
    const dose = (100 * volumes[j]) / total;
    if (dose === 0 || dose >= leastDose * (1 - 1e-6)) return [];
    return [
      `${name}: ${Number(dose.toPrecision(2))} mL per 100 mL is less than its least sensible dose of ${leastDose}`,
    ];
  });
}
