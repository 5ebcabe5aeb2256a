import type { ComponentParameter, PigmentSet } from "./pigmentSet.ts";

/** Whether the set holds a component already, and whether it is this very one. */
type Standing = "not in it" | "renewable" | "up to date" | "takes the place of another";

/** How a component stands to a set, by its id. */
export function standingOf(saved: ComponentParameter, pigments: PigmentSet): Standing {
  const own = pigments.added.find(({ id }) => id === saved.id);
  if (own) return JSON.stringify(sorted(own)) === JSON.stringify(sorted(saved)) ? "up to date" : "renewable";
  return pigments.components.some(({ id }) => id === saved.id) ? "takes the place of another" : "not in it";
}

function sorted(component: ComponentParameter): unknown[] {
  return Object.entries(component)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) =>
      key === "provenance"
        ? [
            key,
            Object.entries(value as object)
              .filter(([, part]) => part !== undefined)
              .sort(),
          ]
        : [key, value],
    )
    .sort(([a], [b]) => String(a).localeCompare(String(b)));
}
