import { css, html, LitElement, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { version } from "../../package.json";
import { controlStyles, tokens } from "../controls/tokens.ts";
import { formatVersion } from "../document/notebook.ts";
import type { Formula } from "../tables/formulas.ts";
import type { GlossaryTerm } from "../tables/glossary.ts";
import { keySheet } from "./keySheet.ts";

/** The sheet of keys, the formulas with their sources, and the words of the trade with their meanings. */
@customElement("bole-help")
export class HelpSheet extends LitElement {
  @state() private words: readonly GlossaryTerm[] | undefined;
  @state() private formulas: readonly Formula[] | undefined;
  @state() private sought = "";
  @state() private open = false;

  /** Open the sheet, at a formula if one is named; Escape closes it. */
  async show(formula?: string): Promise<void> {
    this.open = true;
    const [{ glossary }, { formulas }] = await Promise.all([
      import("../tables/glossary.ts"),
      import("../tables/formulas.ts"),
    ]);
    this.words = glossary;
    this.formulas = formulas;
    await this.updateComplete;
    const dialog = this.renderRoot.querySelector("dialog");
    if (dialog && !dialog.open) dialog.showModal();
    if (!formula) return;
    const entry = this.renderRoot.querySelector<HTMLElement>(`#formula-${formula}`);
    entry?.scrollIntoView({ block: "start" });
    entry?.focus({ preventScroll: true });
  }

  protected override render() {
    if (!this.open) return nothing;
    const sought = this.sought.trim().toLowerCase();
    const found = this.words?.filter(({ term, also, meaning }) =>
      [term, ...also, meaning].some((text) => text.toLowerCase().includes(sought)),
    );
    return html`<dialog aria-labelledby="heading" @close=${() => (this.open = false)}>
      <div class="head">
        <h2 id="heading">Keys, formulas and words</h2>
        <button autofocus @click=${() => this.renderRoot.querySelector("dialog")?.close()}>Close</button>
      </div>
      <div class="scroll" tabindex="0" role="region" aria-label="Keys, formulas and words, in full">
        <p>Bole ${version}. It writes notebooks of version ${formatVersion} and reads all before.</p>
        ${keySheet.map(
          ({ where, keys }) => html`
            <h3>${where}</h3>
            <dl class="keys">
              ${keys.map(([key, does]) => html`<div><dt>${key}</dt><dd>${does}</dd></div>`)}
            </dl>
          `,
        )}
        <h3>Formulas and their sources</h3>
        <dl class="formulas">
          ${this.formulas?.map(
            ({ id, name, formula, meaning, source }) => html`<div id="formula-${id}" tabindex="-1">
              <dt>${name}</dt>
              <dd class="signs">${formula}</dd>
              <dd>${meaning}</dd>
              <dd class="source">${source}</dd>
            </div>`,
          )}
        </dl>
        <h3>Words of the trade and of colour</h3>
        <label for="sought">Find a word</label>
        <input
          id="sought"
          type="text"
          autocomplete="off"
          .value=${this.sought}
          @input=${(event: Event) => (this.sought = (event.target as HTMLInputElement).value)}
        />
        ${found?.length === 0 ? html`<p>No word here holds “${this.sought}”.</p>` : nothing}
        <dl class="words">
          ${found?.map(({ term, meaning }) => html`<div><dt>${term}</dt><dd>${meaning}</dd></div>`)}
        </dl>
      </div>
    </dialog>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      dialog {
        inline-size: min(46rem, calc(100vw - 24px));
        max-block-size: calc(100vh - 24px);
        padding: 0;
        border: 1.5px solid var(--bole-line);
        border-radius: 8px;
        background: var(--bole-paper);
        color: var(--bole-ink);
      }
      dialog[open] {
        display: flex;
        flex-direction: column;
      }
      dialog::backdrop {
        background: rgb(0 0 0 / 55%);
      }
      .head {
        display: flex;
        align-items: center;
        gap: 12px;
        padding: 12px 18px;
        border-bottom: 1px solid var(--bole-hairline);
      }
      .head h2 {
        flex: 1;
        margin: 0;
        font-size: 1.4rem;
      }
      .scroll {
        overflow-y: auto;
        padding: 4px 18px 18px;
      }
      .scroll:focus-visible {
        outline-offset: -3px;
      }
      h3 {
        margin: 18px 0 6px;
      }
      dl {
        margin: 0;
      }
      dl div {
        padding: 6px 0;
        border-bottom: 1px solid var(--bole-hairline);
      }
      .keys div {
        display: grid;
        grid-template-columns: minmax(9rem, 14rem) 1fr;
        gap: 12px;
      }
      @media (max-width: 520px) {
        .keys div {
          grid-template-columns: 1fr;
          gap: 0;
        }
      }
      .signs {
        font-size: 1.1rem;
        padding: 4px 0;
        overflow-wrap: anywhere;
      }
      .source {
        color: var(--bole-ink-soft);
      }
      dt {
        font-weight: 700;
      }
      dd {
        margin: 0;
      }
      input {
        inline-size: 100%;
        min-block-size: var(--bole-target);
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
        padding: 0 12px;
        margin-block-end: 8px;
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-help": HelpSheet;
  }
}
