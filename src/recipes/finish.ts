/** Opaque, or so many µm of wet film over one or several grounds (internal reflectance on the grid). */
export type Finish =
  | { readonly kind: "opaque" }
  | {
      readonly kind: "coats";
      readonly wetThickness: number;
      readonly grounds: readonly Float64Array[];
      /** Film build over each ground as a multiple of `wetThickness`; 1 everywhere when left out. */
      readonly builds?: ArrayLike<number>;
    };

/**
 * Coats over grounds, some of which may get more than the others.
 * @param wetThickness of the coats that all get, µm; above 0 where a ground gets more
 * @param more wet thickness beyond that over each ground, µm; none when left out
 */
export function coatsOver(
  wetThickness: number,
  grounds: readonly Float64Array[],
  more?: ArrayLike<number>,
): Finish & { kind: "coats" } {
  const finish = { kind: "coats", wetThickness, grounds } as const;
  if (!more || Array.from(more).every((wet) => wet === 0)) return finish;
  return { ...finish, builds: Float64Array.from(more, (wet) => 1 + wet / wetThickness) };
}

/** The same coats over one of their grounds alone, at its own film build. */
export function overGround(finish: Finish, ground: number): Finish {
  if (finish.kind === "opaque") return finish;
  const { wetThickness, grounds, builds } = finish;
  return coatsOver(wetThickness * (builds?.[ground] ?? 1), [grounds[ground]]);
}
