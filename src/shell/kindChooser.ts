import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { kindsByQuestion } from "../../cells/registry.ts";
import { controlStyles, notPrinted, tokens, unseen } from "../controls/tokens.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { glossary } from "../tables/glossary.ts";
import { kindsMeant, kindsNext } from "./kindSearch.ts";
import type { NotebookStore } from "./notebookStore.ts";

/**
 * Every kind of cell that can be added: what comes next first, the others under the questions they answer; a few letters
 * find one.
 *
 * @fires bole-kind - CustomEvent<CellKind>: the kind to add
 * @fires bole-close
 */
@customElement("bole-kinds")
export class KindChooser extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  @state() private typed = "";

  protected override firstUpdated(): void {
    this.renderRoot.querySelector("input")?.focus({ preventScroll: true });
  }

  #choose(kind: CellKind): void {
    this.dispatchEvent(new CustomEvent("bole-kind", { detail: kind }));
  }

  #close(): void {
    this.dispatchEvent(new Event("bole-close"));
  }

  readonly #keyed = (event: KeyboardEvent): void => {
    if (event.key === "Escape") this.#close();
    else if (event.key === "Enter" && event.target instanceof HTMLInputElement && this.typed.trim()) {
      const [first] = this.#meant();
      if (first) this.#choose(first);
    } else return;
    event.preventDefault();
    event.stopPropagation();
  };

  #meant(): CellKind[] {
    return kindsMeant(this.typed, [...this.store.registry.values()], glossary);
  }

  protected override render() {
    const { typed } = this;
    return html`<section role="group" aria-label="Add a cell" @keydown=${this.#keyed}>
      <div class="head">
        <label for="letters">Find a cell</label>
        <input
          id="letters"
          type="search"
          autocomplete="off"
          placeholder="a few letters"
          .value=${typed}
          @input=${(event: Event) => (this.typed = (event.target as HTMLInputElement).value)}
        />
        <button @click=${() => this.#close()}>Cancel</button>
      </div>
      ${typed.trim() ? this.#found() : this.#all()}
    </section>`;
  }

  #found() {
    const found = this.#meant();
    return html`<p class="unseen" role="status">${found.length === 0 ? "" : `${found.length} found`}</p>
      ${
        found.length > 0
          ? this.#kinds(found)
          : html`<p role="status">No cell is told of in these words. <button class="plain" @click=${() => (this.typed = "")}>Show all</button></p>`
      }`;
  }

  #all() {
    const { document, registry, graph } = this.store;
    const next = kindsNext(document, registry, (id) => graph.outcome(id));
    const ofNames = (names: readonly string[]) =>
      names.flatMap((name) => registry.get(name) ?? []).filter((kind) => !next.includes(kind));
    return html`${next.length > 0 ? html`<h3>Most likely next</h3>${this.#kinds(next)}` : nothing}
      ${kindsByQuestion.map(([question, names]) => {
        const kinds = ofNames(names);
        return kinds.length > 0 ? html`<h3>${question}</h3>${this.#kinds(kinds)}` : nothing;
      })}`;
  }

  #kinds(kinds: readonly CellKind[]) {
    return html`<div class="kinds">
      ${kinds.map(
        (kind) => html`<button @click=${() => this.#choose(kind)}>
          <strong>${kind.label}</strong><span>${kind.about}</span>
        </button>`,
      )}
    </div>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    unseen,
    css`
      section {
        margin: 12px 0;
        padding: 12px 16px 16px;
        background: var(--bole-paper);
        border: 1px solid var(--bole-line);
        border-radius: 6px;
      }
      .head {
        display: flex;
        flex-wrap: wrap;
        gap: 6px 12px;
        align-items: center;
      }
      .head input {
        flex: 1 1 200px;
        min-width: 0;
        font: inherit;
        min-block-size: 44px;
        padding: 0 12px;
        box-sizing: border-box;
      }
      h3 {
        margin: 16px 0 6px;
        font-size: 1rem;
      }
      .kinds {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 250px), 1fr));
        gap: 6px;
      }
      .kinds button {
        text-align: start;
        padding: 8px 12px;
        font-weight: 400;
        display: flex;
        flex-direction: column;
        gap: 2px;
      }
      .kinds span {
        font-size: 15px;
        line-height: 1.3;
        color: var(--bole-ink-soft);
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-kinds": KindChooser;
  }
}
