import { escaped, panelPicture } from "../paper/paper.ts";
import type { Still, StillPanel } from "./still.ts";

/** A cell as it stands in a page without scripts. */
export interface StillCell {
  readonly title: string;
  /** What kind of cell it is. */
  readonly label: string;
  readonly still: Still;
  /** Title of the open question that its words would answer: they are not told then. */
  readonly cover?: string;
  readonly frozen: boolean;
}

/** Id of what stands there until the program has put the living cells in its place. */
export const stillId = "bole-still";

/** Said of a cell that cannot follow any more. */
export const frozenWords = "It stays as it was when this page was saved: what it takes from was left out.";
/** Said wherever panels are shown. */
export const honestWords =
  "Panels on a screen are a guide: do not judge the final match on a screen. Follow the label and the safety data sheet of every product, your local rules, and licensed practice; never coat air-bag covers or belts.";

/**
 * All shown cells as plain HTML: for a preview, and where scripts do not run. That they do not run is said after a while, by the
 * style sheet: previews that have them switched off take no notice of elements for such a case.
 */
export function stillPage(title: string, saved: string, cells: readonly StillCell[]): string {
  return `<main id="${stillId}">
<h1>${escaped(title)}</h1>
<p class="soft">${escaped(saved)}</p>
<p class="late"><strong>Scripts do not run here.</strong> Figures and panels stand as they were then; open the file in a browser to move and ask.</p>
${cells.map(stillCell).join("\n")}
<p class="soft">${escaped(honestWords)}</p>
</main>`;
}

function stillCell({ title, label, still, cover, frozen }: StillCell): string {
  const body =
    cover === undefined
      ? bodyOf(still)
      : `<p class="cover">Covered until “${escaped(cover)}” is answered.</p>`;
  return `<section><p class="kind">${escaped(label)}</p><h2>${escaped(title)}</h2>
${body}${frozen ? `<p class="soft">${escaped(frozenWords)}</p>` : ""}</section>`;
}

function bodyOf({ verdict, text, panels = [], notes = [], trouble }: Still): string {
  const swatch = verdict?.swatch ? panelPicture([verdict.swatch], "its colour") : "";
  return [
    text === undefined ? "" : paragraphs(text),
    verdict ? `<p class="verdict">${swatch}${escaped(verdict.text)}</p>` : "",
    panels.length > 0 ? `<ul class="panels">${panels.map(panelItem).join("")}</ul>` : "",
    trouble === undefined ? "" : `<p class="soft">${escaped(trouble)}</p>`,
    notes.length > 0 ? `<ul>${notes.map((note) => `<li>${escaped(note)}</li>`).join("")}</ul>` : "",
  ].join("");
}

function panelItem({ name, figure, colours }: StillPanel): string {
  return `<li>${panelPicture(colours, name)}<span>${escaped(name)}</span> <strong>${escaped(figure)}</strong></li>`;
}

/** The words of a note: of its marks, those within a line are understood. */
function paragraphs(text: string): string {
  const marked = escaped(text)
    .replace(/^#{1,6} +/gm, "")
    .replace(/\*\*([^*\n]+)\*\*/g, "<strong>$1</strong>")
    .replace(/\*([^*\n]+)\*/g, "<em>$1</em>")
    .replace(/\[([^\]\n]*)\]\([^)\n]*\)/g, "$1");
  return marked
    .split(/\n{2,}/)
    .map((words) => `<p class="words">${words}</p>`)
    .join("");
}
