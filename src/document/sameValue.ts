/**
 * Whether two values as JSON keeps them are equal: order of names and fields that are undefined do not count.
 * The very same object is equal at once, so that comparing two states of a notebook costs only what differs.
 */
export function sameValue(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  // JSON has no −0.
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return a === b;
  if (Array.isArray(a) || Array.isArray(b)) {
    return (
      Array.isArray(a) &&
      Array.isArray(b) &&
      a.length === b.length &&
      a.every((item, index) => sameValue(item, b[index]))
    );
  }
  const [x, y] = [a as Record<string, unknown>, b as Record<string, unknown>];
  return (
    presentKeys(x).every((key) => Object.hasOwn(y, key) && sameValue(x[key], y[key])) &&
    presentKeys(x).length === presentKeys(y).length
  );
}

function presentKeys(value: Record<string, unknown>): string[] {
  return Object.keys(value).filter((key) => value[key] !== undefined);
}
