import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { repeat } from "lit/directives/repeat.js";
import type { KeepRequest, SetRequest } from "../controls/cellView.ts";
import { controlStyles, tokens } from "../controls/tokens.ts";
import type { NotebookDocument } from "../document/notebook.ts";
import type { Told } from "../handout/begins.ts";
import { honestWords } from "../handout/stillPage.ts";
import type { Coverage } from "../ports/coverage.ts";
import { workbenchStyles } from "../shell/workbenchStyles.ts";
import "./handedCell.ts";
import type { HandedStore } from "./handedStore.ts";
import { stillCell } from "./stillCell.ts";

/** The other cells do not wait longer than this for the first, ms. */
const longestFirst = 1500;

/**
 * A notebook that was saved as a page: its cells alive, with no server and no way to change more than their author allowed.
 *
 * @fires bole-first - the first cell is on the page
 */
@customElement("bole-handout")
export class HandoutPage extends LitElement {
  @property({ attribute: false }) store!: HandedStore;
  @property({ attribute: false }) told!: Told;
  /** The notebook of the file, with the cells that stay as they were. */
  @property({ attribute: false }) notebook!: NotebookDocument;
  /** All cells that live are in the store; before, the first one is. */
  @property({ type: Boolean }) isWhole = false;
  @state() private shrunk = false;
  #isTold = false;

  constructor() {
    super();
    const on = <Asked>(type: string, run: (asked: Asked) => void) =>
      this.addEventListener(type, (event) => run((event as CustomEvent<Asked>).detail));
    on<SetRequest>("bole-set", ({ id, patch, live, also = [] }) =>
      this.store.setTogether([{ id, patch }, ...also], live),
    );
    on<{ id: string; action: string }>("bole-act", ({ id, action }) => void this.store.act(id, action));
    on<KeepRequest>("bole-keep", (kept) => this.store.toggleSight(kept));
    on<{ id: string }>("bole-go", ({ id }) => void this.#go(id));
    this.addEventListener("bole-filled", () => this.#tellFirst());
  }

  protected override firstUpdated(): void {
    const { store } = this;
    for (const type of ["document", "outcomes"]) store.addEventListener(type, () => this.requestUpdate());
    // A first cell that stays as it was is there already.
    const [first] = this.#seen;
    if (!first || !store.cell(first.id)) this.#tellFirst();
    else setTimeout(() => this.#tellFirst(), longestFirst);
  }

  #tellFirst(): void {
    if (this.#isTold) return;
    this.#isTold = true;
    this.dispatchEvent(new CustomEvent("bole-first"));
  }

  async #go(id: string): Promise<void> {
    this.store.show(id);
    await this.updateComplete;
    const cell = this.renderRoot.querySelector<HTMLElement>(`#cell-${id}`);
    cell?.scrollIntoView({ block: "start" });
    cell?.focus({ preventScroll: true });
  }

  /** The cells that are seen, in order; at the beginning the first one. */
  get #seen() {
    const shown = new Set(this.told.shown);
    const seen = this.notebook.cells.filter(({ id }) => shown.has(id));
    return this.isWhole ? seen : seen.slice(0, 1);
  }

  protected override render() {
    const { store, told } = this;
    const hasSide = this.isWhole && (this.#panels !== undefined || store.sight.length > 0);
    return html`
      <header class="head">
        <h1>${store.document.title}</h1>
        <p>${told.saved} What you move here is not kept. ${store.isMoved ? html`<button @click=${() => store.putBack()}>Put everything back</button>` : nothing}</p>
      </header>
      <div class=${hasSide ? "bench beside" : "bench"}>
        ${hasSide ? this.#side() : nothing}
        <main>
          ${repeat(
            this.#seen,
            ({ id }) => id,
            ({ id }) => this.#cell(id),
          )}
          <p class="honest">${honestWords}</p>
        </main>
      </div>
    `;
  }

  #cell(id: string) {
    const { store, told } = this;
    const cell = store.cell(id);
    if (!cell) {
      const title = this.notebook.cells.find((one) => one.id === id)?.title ?? "";
      const { label, still, cover } = told.frozen[id];
      const open = cover !== undefined && this.#isOpen(cover) ? store.cell(cover)?.title : undefined;
      return stillCell(title, label, still, open);
    }
    return html`<bole-handed-cell
      id="cell-${id}"
      .store=${store}
      .cell=${cell}
      .outcome=${store.graph.outcome(id)}
      .action=${store.actions.get(id)}
      .cover=${store.coverOf(id)}
      .units=${store.units}
      ?folded=${store.isFolded(id)}
    ></bole-handed-cell>`;
  }

  /** Whether a question is not answered yet. */
  #isOpen(id: string): boolean {
    const cell = this.store.cell(id);
    return cell !== undefined && this.store.registry.get(cell.kind)?.asks?.(cell.parameters)?.isOpen === true;
  }

  /** The last coverage cell that is seen, whose panels stay in sight. */
  get #panels() {
    const { store, told } = this;
    return store.document.cells.findLast(({ id, kind }) => kind === "coverage" && told.shown.includes(id));
  }

  #side() {
    const { store } = this;
    const cell = this.#panels;
    const coverage = cell && (store.graph.lastValue(cell.id) as Coverage | undefined);
    const covered = cell && store.coverOf(cell.id)?.title;
    const panels =
      covered !== undefined
        ? html`<section class="covered" aria-label="Simulated panels">The panels are covered until “${covered}” is answered.</section>`
        : cell
          ? html`<bole-panels role="region" aria-label="Simulated panels" .coverage=${coverage}></bole-panels>`
          : nothing;
    return html`<aside class=${this.shrunk ? "side shrunk" : "side"} aria-label="In sight">
      <button class="shrink" aria-expanded=${!this.shrunk} aria-label=${this.shrunk ? "Show what is in sight" : "Shrink what is in sight"} @click=${() => (this.shrunk = !this.shrunk)}><span aria-hidden="true">${this.shrunk ? "▴" : "▾"}</span></button>
      ${this.shrunk ? nothing : html`${panels}${store.sight.length > 0 ? html`<bole-kept .store=${store} .moment=${{}}></bole-kept>` : nothing}`}
    </aside>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    workbenchStyles,
    css`
      :host {
        --bole-bar: 0px;
      }
      .head {
        background: var(--bole-paper);
        border-bottom: 1px solid var(--bole-hairline);
        padding: 10px 16px;
      }
      h1 {
        font-size: 1.35rem;
        margin: 0;
        overflow-wrap: anywhere;
      }
      .head p {
        margin: 4px 0 0;
        color: var(--bole-ink-soft);
      }
      main {
        padding-block-start: 12px;
      }
      .still {
        background: var(--bole-paper);
        border: 1px solid var(--bole-hairline);
        border-radius: 6px;
        padding: 6px 16px 10px;
        margin-block-end: 8px;
        overflow-wrap: anywhere;
      }
      .still .kind {
        margin: 0;
        color: var(--bole-ink-soft);
      }
      .still h2 {
        font-size: 22px;
        margin: 0;
      }
      .still .words {
        white-space: pre-line;
        max-width: 72ch;
      }
      .still .verdict {
        display: flex;
        gap: 12px;
        align-items: center;
        max-width: 72ch;
      }
      .still .verdict .panel {
        flex: none;
        box-sizing: border-box;
        inline-size: 44px;
        min-inline-size: 0;
        min-block-size: 0;
        block-size: 36px;
      }
      .panels {
        list-style: none;
        padding: 0;
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(160px, 1fr));
        gap: 12px;
      }
      .panels li {
        display: flex;
        flex-direction: column;
      }
      .panel {
        display: flex;
        min-block-size: 64px;
        min-inline-size: 96px;
        padding: 8px;
        background: var(--bole-surround);
        print-color-adjust: exact;
        forced-color-adjust: none;
      }
      .panel span {
        flex: 1;
      }
      .soft {
        color: var(--bole-ink-soft);
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-handout": HandoutPage;
  }
}
