/** Where the walk through a notebook stands, kept on this device by the notebook's name; a device that keeps nothing begins anew. */
const keyOf = (name: string) => `bole-walk ${name}`;

export function walkAt(name: string): string | undefined {
  return onDevice((kept) => kept.getItem(keyOf(name))) ?? undefined;
}

export function keepWalk(name: string, here: string): void {
  onDevice((kept) => kept.setItem(keyOf(name), here));
}

/** For a new notebook that has the name of one that is gone. */
export function forgetWalk(name: string): void {
  onDevice((kept) => kept.removeItem(keyOf(name)));
}

function onDevice<Result>(use: (kept: Storage) => Result): Result | undefined {
  try {
    return use(localStorage);
  } catch {
    return undefined;
  }
}
