import { css, html, LitElement } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { ask } from "../controls/emit.ts";
import { tokens } from "../controls/tokens.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { CellKind, Port } from "../graph/defineCell.ts";
import type { NotebookStore } from "./notebookStore.ts";

/** The inputs of a cell as links: jump to the cell behind, link another, cut. */
@customElement("bole-links")
export class LinkEditor extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  @property({ attribute: false }) cell!: NotebookCell;
  @property({ attribute: false }) kind!: CellKind;
  @state() private editing = false;

  protected override render() {
    const jumps = Object.entries(this.kind.inputs).flatMap(([name, port]) => this.#jumps(name, port));
    return html`
      <div class="row">
        <span class="soft">${jumps.length > 0 ? "Takes from" : "Takes nothing from other cells"}</span>
        ${jumps}
        <button class="edit" aria-expanded=${this.editing} @click=${() => (this.editing = !this.editing)}>
          ${this.editing ? "Done" : "Change links"}
        </button>
      </div>
      ${
        this.editing
          ? html`<div class="editor">${Object.entries(this.kind.inputs).map(([name, port]) => this.#editor(name, port))}</div>`
          : ""
      }
    `;
  }

  #ids(name: string): string[] {
    return [this.cell.inputs[name] ?? []].flat();
  }

  #jumps(name: string, port: Port) {
    const ids = this.#ids(name);
    if (ids.length === 0)
      return port.optional ? [] : [html`<span class="cut">${port.label}: not linked</span>`];
    return ids.map((id) => {
      const giver = this.store.cell(id);
      return giver
        ? html`<button class="jump" title=${port.label} @click=${() => ask(this, "bole-go", { id })}>${giver.title}</button>`
        : html`<span class="cut">${port.label}: “${id}” is gone</span>`;
    });
  }

  #editor(name: string, port: Port) {
    const fitting = this.store.givers(port.type).filter((giver) => giver.id !== this.cell.id);
    const ids = this.#ids(name);
    if (port.many) {
      return html`<fieldset>
        <legend>${port.label}</legend>
        ${fitting.map(
          (giver) => html`<label class="check">
            <input
              type="checkbox"
              .checked=${ids.includes(giver.id)}
              @change=${(event: Event) =>
                this.#toggle(name, giver.id, (event.target as HTMLInputElement).checked)}
            />
            ${giver.title}
          </label>`,
        )}
        ${fitting.length === 0 ? html`<p class="soft">No cell gives this yet: add one.</p>` : ""}
      </fieldset>`;
    }
    const gone = ids.filter((id) => !fitting.some((giver) => giver.id === id));
    return html`<bole-choice
      .label=${port.label}
      .options=${[
        { value: "", label: port.optional ? "none" : "not linked" },
        ...gone.map((id) => ({ value: id, label: `“${id}” (gone)` })),
        ...fitting.map((giver) => ({ value: giver.id, label: giver.title })),
      ]}
      .value=${ids[0] ?? ""}
      @change=${(event: CustomEvent<{ value: string }>) => this.#choose(name, event.detail.value)}
    ></bole-choice>`;
  }

  #choose(name: string, id: string): void {
    this.store.link(this.cell.id, name, id ? [id] : []);
    this.requestUpdate();
  }

  #toggle(name: string, id: string, on: boolean): void {
    const others = this.#ids(name).filter((other) => other !== id && this.store.cell(other));
    this.store.link(this.cell.id, name, on ? [...others, id] : others);
    this.requestUpdate();
  }

  static override styles = [
    tokens,
    css`
      :host {
        display: block;
        margin-block: 8px -6px;
        border-top: 1px solid var(--bole-hairline);
        padding-top: 2px;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 0 14px;
        align-items: center;
      }
      .soft {
        color: var(--bole-ink-soft);
      }
      button {
        font: inherit;
        min-height: 44px;
        min-width: 44px;
        padding: 0 2px;
        border: none;
        border-radius: 4px;
        background: none;
        color: var(--bole-ink);
        cursor: pointer;
        max-width: 100%;
      }
      button:focus-visible {
        outline: 3px solid var(--bole-focus);
      }
      @media (pointer: fine) {
        button {
          min-height: 34px;
        }
      }
      .jump {
        text-align: start;
        text-decoration: underline;
        text-underline-offset: 3px;
      }
      .edit {
        margin-left: auto;
        padding: 0 8px;
        color: var(--bole-ink-soft);
      }
      .jump:hover,
      .edit:hover {
        background: var(--bole-press);
      }
      .cut {
        font-weight: 700;
        border: 2px dashed currentColor;
        border-radius: 6px;
        padding: 8px 10px;
      }
      .editor {
        display: grid;
        gap: 12px;
        padding: 12px 0 4px;
        grid-template-columns: repeat(auto-fill, minmax(240px, 1fr));
      }
      fieldset {
        border: 1px solid var(--bole-hairline);
        border-radius: 6px;
      }
      .check {
        display: flex;
        gap: 10px;
        align-items: center;
        min-height: 44px;
      }
      .check input {
        width: 24px;
        height: 24px;
      }
    `,
  ];
}
