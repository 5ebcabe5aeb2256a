import { html, nothing } from "lit";
import { differenceText, percentText } from "../../../src/controls/numbers.ts";
import type { PanelsSay } from "../../../src/ledger/say.ts";
import type { UnitSystem } from "../../../src/units/units.ts";
import { wordsIn } from "../../../src/units/wordsIn.ts";
import { plural } from "../../../src/words/plural.ts";
import type { WhatPanelsSay } from "../define.ts";
import { pourWords } from "./words.ts";

/** The panels that would narrow the colour of the job most. */
export function nextSection(
  { coverage, isForThisJob }: WhatPanelsSay,
  { next, job }: PanelsSay,
  units: UnitSystem,
) {
  if (!coverage) {
    return html`<h3>What to make next</h3>
      <p>Link the coverage of a job, and it says which panel would narrow its colour most.</p>`;
  }
  if (job === null || next.length === 0) return nothing;
  const part = coverage.parts[coverage.worst]?.substrate.name ?? "the job";
  return html`<h3>What to make next</h3>
    ${isForThisJob ? nothing : html`<p><strong>The job was another one then:</strong> learn again for the one at hand.</p>`}
    <p>
      The colour on ${part} is expected within ΔE00 <strong>${differenceText(job)}</strong> of its prediction, as far as the
      pastes leave it open. These panels, one after another, would narrow it most:
    </p>
    <ol>
      ${next.map(
        ({ plan, expected }) => html`<li>
          <strong>${plan.label}</strong>: ${pourWords(plan, units)}; ${plural(plan.coats, "coat")} of ${wordsIn(`${plan.wetThickness} µm`, units)} wet over
          ${plan.ground}. Then ΔE00 ${differenceText(expected)} is expected.
        </li>`,
      )}
    </ol>`;
}

/** How well each paste is known, and how strong each bottle is. */
export function pastesSection({ pastes, bottles }: PanelsSay) {
  return html`<details>
    <summary>Pastes and bottles</summary>
    <table>
      <thead>
        <tr><th scope="col">Paste</th><th scope="col" class="number">panels</th><th scope="col" class="number">ΔE00 left open</th></tr>
      </thead>
      <tbody>
        ${pastes.map(
          ({ name, panels, doubt, component }) => html`<tr>
            <th scope="row">${name}${component ? "" : " (not on the shelf)"}</th>
            <td class="number">${panels}</td>
            <td class="number">${doubt === null ? "–" : differenceText(doubt)}</td>
          </tr>`,
        )}
      </tbody>
    </table>
    ${
      bottles.length > 0
        ? html`<table>
            <thead>
              <tr>
                <th scope="col">Bottle</th><th scope="col">first used</th><th scope="col" class="number">strength</th>
                <th scope="col" class="number">nine of ten</th>
              </tr>
            </thead>
            <tbody>
              ${bottles.map(
                ({ paste, name, date, strength, low, high }) => html`<tr>
                  <th scope="row">${paste}, ${name}</th>
                  <td>${date || "–"}</td>
                  <td class="number">${percentText(strength)}</td>
                  <td class="number">${percentText(low)} to ${percentText(high)}</td>
                </tr>`,
              )}
            </tbody>
          </table>`
        : nothing
    }
  </details>`;
}
