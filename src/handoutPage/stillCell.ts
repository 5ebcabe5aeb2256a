import { html, nothing } from "lit";
import type { Still } from "../handout/still.ts";
import { frozenWords } from "../handout/stillPage.ts";

/** A cell that stays as it was when the page was saved. */
export function stillCell(
  title: string,
  label: string,
  { verdict, text, panels = [], notes = [], trouble }: Still,
  cover?: string,
) {
  const body = html`
    ${text?.split(/\n{2,}/).map((words) => html`<p class="words">${words}</p>`)}
    ${verdict ? html`<p class="verdict">${verdict.swatch ? panel([verdict.swatch]) : nothing}${verdict.text}</p>` : nothing}
    ${
      panels.length > 0
        ? html`<ul class="panels">${panels.map(({ name, figure, colours }) => html`<li>${panel(colours)}<span>${name}</span> <strong>${figure}</strong></li>`)}</ul>`
        : nothing
    }
    ${trouble ? html`<p class="soft">${trouble}</p>` : nothing}
    ${notes.length > 0 ? html`<ul>${notes.map((note) => html`<li>${note}</li>`)}</ul>` : nothing}
  `;
  return html`<section class="still" aria-label=${title}>
    <p class="kind">${label}</p>
    <h2>${title}</h2>
    ${cover === undefined ? body : html`<p>Covered until “${cover}” is answered.</p>`}
    <p class="soft">${frozenWords}</p>
  </section>`;
}

function panel(colours: readonly string[]) {
  return html`<span class="panel">${colours.map((colour) => html`<span .style=${`background:${colour}`}></span>`)}</span>`;
}
