/** Places that say the same over ten lines and more, and why each stays. `begins` is the line a copy begins with. */
export const clonesThatStay: readonly {
  places: readonly [string, string];
  begins: string;
  reason: string;
}[] = [
  {
    places: ["src/server/library.ts", "src/server/store.ts"],
    begins: "return { name, movedTo };",
    reason:
      "the last lines of a removal and the doors to the queue: one call each, of two classes with other files",
  },
];
