import { html, nothing } from "lit";
import { changeWords } from "../../../src/ledger/changeWords.ts";
import type { LedgerEntry } from "../../../src/ledger/ledgerFile.ts";
import type { Panel } from "../../../src/ledger/panel.ts";
import { plural } from "../../../src/words/plural.ts";

/**
 * What a panel of the ledger was before it was corrected, the latest first.
 * @param restore told the state that is to stand again
 */
export function earlierStates(entry: LedgerEntry | undefined, restore: (panel: Panel) => void) {
  if (!entry || entry.earlier.length === 0) return nothing;
  const states = [...entry.earlier].reverse();
  return html`<details>
    <summary>What it was before (${plural(states.length, "state")})</summary>
    <ul>
      ${states.map(({ number, saved, panel }, k) => {
        const after = k === 0 ? entry : states[k - 1];
        return html`<li>
          State ${number}, kept ${saved.slice(0, 10)}. Then changed: ${changeWords(panel, after.panel)}.
          <button type="button" @click=${() => restore(panel)}>Make it so again</button>
        </li>`;
      })}
    </ul>
  </details>`;
}
