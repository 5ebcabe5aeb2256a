import { css, html, LitElement } from "lit";
import { customElement, property } from "lit/decorators.js";
import type { Component } from "../coating/component.ts";
import { saveText } from "../controls/saveFile.ts";
import { notPrinted } from "../controls/tokens.ts";
import { viewStyles } from "../controls/viewStyles.ts";
import { tableToFill, tableWords } from "../drawdowns/emptyTable.ts";

/** Saves an empty table of drawdowns to fill in, and says how it is laid out. */
@customElement("bole-table-to-fill")
export class TableToFill extends LitElement {
  @property() paste = "";
  @property() kind: "spectra" | "colours" = "spectra";
  /** labels of the films of the worksheet */
  @property({ attribute: false }) films: readonly string[] = [];
  @property({ attribute: false }) known: readonly Component[] = [];

  protected override render() {
    return html`<div class="row">
        <button type="button" @click=${() => this.#save()}>Save an empty table to fill in (CSV)</button>
      </div>
      <details>
        <summary>How the table is laid out</summary>
        <ul>
          ${tableWords.map((line) => html`<li>${line}</li>`)}
          <li>
            Then a column for each wavelength in nm, or L*, a* and b*. Title lines, a line of units, empty rows and columns,
            and decimal commas do no harm.
          </li>
        </ul>
      </details>`;
  }

  #save(): void {
    const { paste, kind, films, known } = this;
    const white = known.find(
      ({ role, colourIndex, id }) => role === "paste" && /^PW/i.test(colourIndex ?? id),
    );
    const binder = known.find(({ role }) => role === "binder");
    const others = [white, binder].flatMap((one) => (one ? [one.id] : []));
    saveText("drawdowns-to-fill.csv", tableToFill({ paste, others, films, readings: kind }), "text/csv");
  }

  static override styles = [
    ...viewStyles,
    notPrinted,
    css`
      .row {
        margin-block: 12px;
      }
    `,
  ];
}
