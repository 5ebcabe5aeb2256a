const storageKey = "bole-kept-width";

/** The column of what is in sight is never narrower, px. */
export const leastWidth = 320;

/** Width of the column of what is in sight on this device, px; undefined as long as nobody has drawn it. */
export function keptWidth(): number | undefined {
  try {
    const width = Number(localStorage.getItem(storageKey));
    return width >= leastWidth ? width : undefined;
  } catch {
    return undefined; // a browser that keeps nothing
  }
}

/** Remember a width on this device, px. */
export function keepWidth(width: number): void {
  try {
    localStorage.setItem(storageKey, `${width}`);
  } catch {
    // a browser that keeps nothing: as wide as this while the page is open
  }
}
