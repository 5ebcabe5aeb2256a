import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { emit } from "../controls/emit.ts";
import { controlStyles, tokens } from "../controls/tokens.ts";
import type { NotebookEntry } from "../document/served.ts";
import { type NotebookOrder, orderedNotebooks, sharedTitles } from "./notebookOrder.ts";
import { keptPanels } from "./panelPictures.ts";
import { timeWords } from "./timeWords.ts";

/**
 * The notebooks of the folder, each with its title, when it was changed, and its panels as this browser last showed them.
 *
 * @fires pick - CustomEvent<{name}>: a notebook is to be opened
 */
@customElement("bole-notebook-list")
export class NotebookList extends LitElement {
  @property({ attribute: false }) entries: readonly NotebookEntry[] = [];
  /** Name of the notebook that is open. */
  @property() current = "";
  @state() private sought = "";
  @state() private order: NotebookOrder = "changed";

  protected override render() {
    const found = orderedNotebooks(this.entries, this.sought, this.order);
    const shared = sharedTitles(this.entries);
    const panels = keptPanels();
    return html`
      <div class="row">
        <label>
          Find a notebook
          <input
            class="box"
            type="search"
            autocomplete="off"
            .value=${this.sought}
            @input=${(event: Event) => (this.sought = (event.target as HTMLInputElement).value)}
          />
        </label>
        <label>
          In order of
          <select class="box" @change=${(event: Event) => (this.order = (event.target as HTMLSelectElement).value as NotebookOrder)}>
            <option value="changed">last change</option>
            <option value="title">title</option>
          </select>
        </label>
      </div>
      ${found.length === 0 && this.entries.length > 0 ? html`<p role="status">No notebook holds “${this.sought}” in its title.</p>` : nothing}
      <ul aria-label="All notebooks">
        ${found.map(
          ({ name, title, modified, problem }, at) => html`<li>
            <button
              id=${`open-${at}`}
              aria-labelledby=${shared.has(title) ? `open-${at} when-${at}` : nothing}
              aria-describedby=${`when-${at}`}
              aria-current=${name === this.current ? "page" : nothing}
              title=${problem ?? nothing}
              @click=${() => emit(this, "pick", { name })}
            >
              ${title || name}${problem ? " (cannot be read)" : ""}
            </button>
            <span class="panels" aria-hidden="true">${panels[name]?.map((css) => html`<i .style=${`background:${css}`}></i>`)}</span>
            <span class="when" id=${`when-${at}`}>${timeWords(modified)}${shared.has(title) ? `, file ${name}` : ""}</span>
          </li>`,
        )}
      </ul>
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 8px 16px;
      }
      .box {
        display: block;
        min-block-size: var(--bole-target);
        padding: 0 12px;
        font: inherit;
      }
      ul {
        list-style: none;
        margin: 12px 0 0;
        padding: 0;
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 22rem), 1fr));
        gap: 8px;
        max-block-size: 60vh;
        overflow-y: auto;
      }
      li {
        position: relative;
        display: grid;
        grid-template-columns: 1fr auto;
        gap: 2px 12px;
        align-content: center;
        padding: 8px 12px;
        min-block-size: var(--bole-target);
        box-sizing: border-box;
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
      }
      li:hover {
        background: var(--bole-press);
      }
      button {
        border: 0;
        padding: 0;
        background: none;
        min-block-size: 0;
        text-align: start;
        overflow-wrap: anywhere;
      }
      /* All of the line opens it. */
      button::after {
        content: "";
        position: absolute;
        inset: 0;
      }
      .when {
        overflow-wrap: anywhere;
      }
      .when {
        overflow-wrap: anywhere;
        grid-column: 1;
        font-weight: 400;
        color: var(--bole-ink-soft);
      }
      /* The same mid-grey as around the panels themselves. */
      .panels {
        grid-row: 1 / span 2;
        grid-column: 2;
        align-self: center;
        display: flex;
        gap: 2px;
        padding: 3px;
        background: var(--bole-surround);
      }
      .panels:empty {
        display: none;
      }
      i {
        inline-size: 16px;
        block-size: 28px;
      }
      li:has([aria-current]) {
        border-width: 3px;
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-notebook-list": NotebookList;
  }
}
