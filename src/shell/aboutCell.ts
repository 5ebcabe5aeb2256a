import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { ask } from "../controls/emit.ts";
import { tokens } from "../controls/tokens.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { formulas } from "../tables/formulas.ts";
import { explainedText } from "./explainedText.ts";

/**
 * What a kind of cell is, in two sentences, and the formulas it computes by, each a link to the sheet of formulas.
 *
 * @fires bole-formula - CustomEvent<{id}>: a formula is to be shown
 */
@customElement("bole-about-cell")
export class AboutCell extends LitElement {
  @property({ attribute: false }) kind!: CellKind;

  protected override render() {
    const { kind } = this;
    const used = formulas.filter(({ cells }) => cells.includes(kind.kind));
    return html`
      <p>${explainedText(kind.about)}</p>
      ${
        used.length > 0
          ? html`<p class="soft links">
              Formulas and their sources:
              ${used.map(
                ({ id, name, source }) =>
                  html`<span><button @click=${() => ask(this, "bole-formula", { id })}>${name}</button> (${source})</span>`,
              )}
            </p>`
          : nothing
      }
    `;
  }

  static override styles = [
    tokens,
    css`
      :host {
        display: block;
        background: var(--bole-press);
        border-radius: 6px;
        padding: 4px 14px;
        margin: 8px 0;
      }
      .soft {
        color: var(--bole-ink-soft);
      }
      .links {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0 12px;
      }
      button {
        font: inherit;
        min-height: 44px;
        min-width: 44px;
        padding: 0 2px;
        border: none;
        background: none;
        color: inherit;
        text-decoration: underline;
        text-align: start;
        cursor: pointer;
      }
      button:focus-visible {
        outline: 3px solid var(--bole-focus);
      }
    `,
  ];
}
