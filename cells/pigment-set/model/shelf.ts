import type { ComponentParameter } from "../../../src/ports/pigmentSet.ts";

/** An id that no other component has, made from a name. */
export function freeId(name: string, taken: ReadonlySet<string>): string {
  const plain = name
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 56);
  const base = plain || "paint";
  if (!taken.has(base)) return base;
  // One more than there are others is free.
  for (let number = 2; number <= taken.size + 2; number++) {
    if (!taken.has(`${base}-${number}`)) return `${base}-${number}`;
  }
  throw new RangeError(`${name}: no id is free for it`);
}

/** The person's own components with one put in the place of the one with its id, or added. */
export function withOwn(
  added: readonly ComponentParameter[],
  component: ComponentParameter,
): ComponentParameter[] {
  const at = added.findIndex(({ id }) => id === component.id);
  return at < 0 ? [...added, component] : added.map((other, i) => (i === at ? component : other));
}
