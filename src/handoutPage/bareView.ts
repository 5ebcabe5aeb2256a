import type { CellView } from "../controls/cellView.ts";
import { isForReaders } from "../handout/choice.ts";
import type { HandedStore } from "./handedStore.ts";

const fields = "bole-slider, bole-number, bole-choice, bole-toggle, bole-text";
/** Where something is made or looked for. */
const workplaces = "bole-recipe-search, bole-film-form, bole-table-to-fill";
/** What is typed or pressed beside the fields. */
const others = `button, input, select, textarea, ${workplaces}`;
/** Shown, but not worked with. */
const inert = "bole-photo-circles, bole-drawdown-table, bole-measured-pair, bole-calibration-findings";
/** What makes something that opens worth opening. */
const content = `bole-chart, bole-swatch, bole-paper, table, dl, ul, ol, p, :is(${fields}):not([data-aside])`;

type Field = HTMLElement & { disabled: boolean; value: unknown };

/**
 * Leaves of a view what its reader may work with: other fields show what they are set to, other presses are not there.
 * A cell that is there to be worked with keeps all but its settings.
 */
export function bareView(root: ShadowRoot, store: HandedStore): void {
  const { cell, value } = root.host as CellView;
  const kind = store.registry.get(cell.kind);
  if (!kind) return;
  const isOpen = store.isOpen(cell.id);
  if (!isOpen) {
    for (const field of root.querySelectorAll<Field>(fields)) {
      const [, name] = /^set-(.+)$/.exec(field.getAttribute("piece") ?? "") ?? [];
      if (name !== undefined && store.may(cell.id, name)) continue;
      field.disabled = true;
      field.toggleAttribute("data-aside", field.value === "");
    }
    for (const one of root.querySelectorAll(others)) one.setAttribute("data-aside", "");
    for (const one of root.querySelectorAll(inert)) one.setAttribute("inert", "");
  }
  // A question moves a setting of another cell, which may be none of what is allowed.
  const { moves } = (value ?? {}) as { moves?: { cell: string; name: string } };
  if (kind.asks && moves && !store.may(moves.cell, moves.name))
    for (const field of root.querySelectorAll<Field>(".mover bole-slider")) field.disabled = true;
  if (isOpen && !isForReaders(kind)) return;
  for (const part of root.querySelectorAll("details")) {
    const isEmpty = part.querySelector(content) === null;
    part.toggleAttribute("data-aside", isEmpty || (!isOpen && part.querySelector(workplaces) !== null));
  }
}
