import { html, nothing } from "lit";
import { ledger } from "../../../src/ledger/atHand.ts";
import { type LearntPanel, olderWords, sinceLearnt } from "../../../src/ledger/besideLedger.ts";

/** Says where a shelf that was learnt from panels is older than the ledger. The ledger is read only where one was. */
export function olderShelf(learntFrom: readonly LearntPanel[]) {
  const entries = learntFrom.length > 0 ? ledger.entries : undefined;
  if (!entries) return nothing;
  const { more, changed } = sinceLearnt(learntFrom, entries);
  if (more + changed === 0) return nothing;
  return html`<p role="status">
    <strong>This shelf is older than the ledger:</strong> ${olderWords(more, changed)} Take them in in the cell
    <em>What the panels say</em> and learn again: it shows what would change in the recipe before anything is used.
  </p>`;
}
