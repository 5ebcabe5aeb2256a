import * as v from "valibot";

const storageKey = "bole-panels";
const mostPanels = 8;
const mostNotebooks = 200;

/** Colours as the page writes them itself; what else stands in the storage of the browser is not shown. */
const colour = v.pipe(v.string(), v.regex(/^[a-z0-9#%.,() /-]{1,100}$/i));
const keptSchema = v.record(v.string(), v.pipe(v.array(colour), v.maxLength(mostPanels)));

type Kept = Record<string, readonly string[]>;

/** Colours of the panels of notebooks as they last stood in this browser, the target first. */
export function keptPanels(): Kept {
  try {
    const { success, output } = v.safeParse(keptSchema, JSON.parse(localStorage.getItem(storageKey) ?? "{}"));
    return success ? output : {};
  } catch {
    return {}; // a browser that keeps nothing
  }
}

/** Remembers the panels of a notebook in this browser, so that a list can show them small. */
export function keepPanels(notebook: string, colours: readonly string[]): void {
  const { [notebook]: before, ...others } = keptPanels();
  const now = colours.slice(0, mostPanels);
  if (`${before}` === `${now}`) return;
  const latest = [...Object.entries(others), [notebook, now]].slice(-mostNotebooks);
  try {
    localStorage.setItem(storageKey, JSON.stringify(Object.fromEntries(latest)));
  } catch {
    // a browser that keeps nothing: the list has no pictures
  }
}
