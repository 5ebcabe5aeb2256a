/** Places that say the same over ten lines and more, and why each stays. `begins` is the line a copy begins with. */
export const clonesThatStay: readonly {
  places: readonly [string, string];
  begins: string;
  reason: string;
}[] = [];
