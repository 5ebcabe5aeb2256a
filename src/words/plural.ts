/** A count with its word: "1 cell", "2 cells". Give `many` where an "s" does not make the plural. */
export function plural(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
