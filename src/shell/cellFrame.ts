import { html, LitElement, nothing, type PropertyValues } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { viewOf } from "../../cells/registry.ts";
import type { CellView } from "../controls/cellView.ts";
import { ask } from "../controls/emit.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { Cover } from "../document/secrets.ts";
import type { CellKind } from "../graph/defineCell.ts";
import { messageOf } from "../graph/messageOf.ts";
import type { Outcome } from "../graph/outcome.ts";
import { inShort } from "../graph/verdict.ts";
import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";
import "../controls/index.ts";
import { cellFrameStyles } from "./cellFrameStyles.ts";
import { cellState } from "./cellState.ts";
import { feedView, verdictOf } from "./feedView.ts";
import "./linkEditor.ts";
import type { NotebookStore, RunningAction } from "./notebookStore.ts";
import { supplyLine } from "./supplyLine.ts";
import { fitTitles, leaveOnEnter, oneLine } from "./titleField.ts";
import { firstView, firstViewIsShown, forgetTurn, whenItsTurn } from "./viewTurns.ts";

/** A view that computes for longer than this is shown before its first result is there. */
const longestFillingMs = 1000;

/** Whether a cell of a kind can be kept in the library: it stands for itself and takes nothing from other cells. */
function canBeKept(kind: CellKind): boolean {
  return Object.keys(kind.inputs).length === 0 && kind.output !== undefined;
}

/**
 * What surrounds every cell: its title, state, links and menu, and the view inside.
 *
 * @fires bole-filled - the view is in place and has its first result
 */
@customElement("bole-cell")
export class CellFrame extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  @property({ attribute: false }) cell!: NotebookCell;
  @property({ attribute: false }) outcome!: Outcome;
  @property({ attribute: false }) action: RunningAction | undefined;
  /** The open question that would be answered by what the cell shows. */
  @property({ attribute: false }) cover: Cover | undefined;
  @property({ type: Boolean }) first = false;
  @property({ type: Boolean }) last = false;
  /** Folded to one line: the view is made when it is unfolded. */
  @property({ type: Boolean, reflect: true }) folded = false;
  /** How it is linked with the cell that is pointed at. */
  @property({ reflect: true }) relation: "gives" | "takes" | "" = "";
  /** What is kept in sight of it, so that the view marks it. */
  @property({ attribute: false }) sight: unknown;
  /** Units of the job, so that the view and the verdict follow them. */
  @property() units: UnitSystem = "metric";
  /** The view is in place and has its first result, so that what is below will not be moved by it. */
  @property({ type: Boolean, reflect: true }) filled = false;
  @state() private menuOpen = false;
  @state() private aboutOpen = false;
  @state() private asking = false;
  @state() private keeping = false;
  #view: CellView | undefined;
  #viewKind: string | undefined;
  #viewFault: string | undefined;
  #isWaiting = false;
  #isInPlace = false;

  get #kind(): CellKind | undefined {
    return this.store.registry.get(this.cell.kind);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.#isWaiting) this.#waitForTurn(); // it was moved meanwhile
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    forgetTurn(this);
  }

  #waitForTurn(): void {
    this.#isWaiting = true;
    whenItsTurn(this, this.store.document.cells.length, () => {
      this.#isWaiting = false;
      void this.#loadView();
    });
  }

  protected override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has("cell") && this.cell.library) void import("./libraryLine.ts");
    if (this.folded) {
      if (this.first) firstViewIsShown();
      this.#isInPlace ||= this.#viewKind === undefined;
    } else if (this.cell.kind !== this.#viewKind) {
      this.#viewKind = this.cell.kind;
      this.#view = undefined;
      this.#waitForTurn();
    }
    this.#feedView();
  }

  async #loadView(): Promise<void> {
    if (!this.first) await firstView;
    const kind = this.#kind;
    try {
      if (kind) {
        const tag = await viewOf(kind.kind);
        if (tag) this.#view = document.createElement(tag) as CellView;
        this.#feedView();
      }
    } catch (error) {
      this.#viewFault = `The view could not be loaded: ${messageOf(error)}`;
    }
    this.#isInPlace = true;
    if (this.cover) this.#fill();
    setTimeout(() => this.#fill(), longestFillingMs);
    this.requestUpdate();
    if (!this.first) return;
    await this.updateComplete;
    // A view that is covered is not on the page and never becomes complete.
    if (this.#view?.isConnected) await this.#view.updateComplete;
    requestAnimationFrame(firstViewIsShown);
  }

  protected override async updated(): Promise<void> {
    void fitTitles(this.renderRoot);
    if (this.filled || !this.#isInPlace || this.outcome.status === "running") return;
    if (this.#view?.isConnected) await this.#view.updateComplete;
    this.#fill();
  }

  #fill(): void {
    if (this.filled) return;
    this.filled = true;
    ask(this, "bole-filled");
  }

  #feedView(): void {
    const kind = this.#kind;
    if (this.#view && kind) feedView(this.#view, this.store, this.cell, kind);
  }

  /** What stands in place of all that the cell shows while that would answer an open question. */
  #covered({ id, title }: Cover) {
    return html`<div class="body">
      <p class="cover">Covered until “${title}” is answered. <button @click=${() => ask(this, "bole-go", { id })}>Go there</button></p>
    </div>`;
  }

  protected override render() {
    const { cell, outcome, cover } = this;
    const supply = this.#kind && supplyLine(this.#kind, cell.parameters, this.units);
    this.toggleAttribute("waits", this.#isWaiting);
    this.toggleAttribute("supply", supply !== undefined && outcome.status === "ok");
    const kind = this.#kind;
    const stale = outcome.status === "error" || outcome.status === "blocked";
    if (this.folded) return this.#foldedLine(kind, supply);
    return html`
      <section role="group" aria-labelledby="title" tabindex="-1">
        <header>
          ${this.#foldButton()}
          <div class="names">
            <p class="kind">
              ${kind?.label ?? cell.kind}
              <button
                class="plain small"
                aria-expanded=${this.aboutOpen}
                @click=${() => this.#toggleAbout()}
              >What is this?</button>
            </p>
            <h2 id="title" class="unseen">${cell.title}</h2>
            <textarea
              class="title"
              rows="1"
              aria-label="Title of this cell"
              .value=${cell.title}
              maxlength="200"
              @keydown=${leaveOnEnter}
              @change=${(event: Event) => this.store.rename(cell.id, oneLine(event))}
            ></textarea>
          </div>
          ${this.#stateMark()}
          <button
            class="tool"
            aria-label=${`More for ${cell.title}`}
            aria-expanded=${this.menuOpen}
            @click=${() => this.#toggleMenu()}
          >···</button>
        </header>
        ${this.#supplyLine(supply)}
        ${this.menuOpen ? this.#menu() : nothing} ${this.aboutOpen && kind ? html`<bole-about-cell .kind=${kind}></bole-about-cell>` : nothing}
        ${
          cover
            ? this.#covered(cover)
            : html`${this.#trouble()}
        ${
          cell.library || this.keeping
            ? html`<bole-library-line
                .store=${this.store}
                .cell=${cell}
                ?keeping=${this.keeping}
                @bole-close=${() => (this.keeping = false)}
              ></bole-library-line>`
            : nothing
        }
        <div class="body ${this.#isWaiting ? "waits" : ""} ${stale && this.#view?.value !== undefined ? "stale" : ""}">
          ${this.#viewFault ? html`<p role="alert">${this.#viewFault}</p>` : (this.#view ?? nothing)}
        </div>
        ${this.action ? this.#progress(this.action) : nothing} ${this.#notes()}`
        }
        ${
          kind && Object.keys(kind.inputs).length > 0
            ? html`<bole-links .store=${this.store} .cell=${cell} .kind=${kind}></bole-links>`
            : nothing
        }
      </section>
    `;
  }

  /** Not the element itself: one with a tabindex of −1 would take everything in it out of the tab order. */
  override focus(options?: FocusOptions): void {
    this.renderRoot.querySelector("section")?.focus(options);
  }

  #toggleMenu(): void {
    this.menuOpen = !this.menuOpen;
    this.asking = false;
  }

  async #toggleAbout(): Promise<void> {
    await import("./aboutCell.ts");
    this.aboutOpen = !this.aboutOpen;
  }

  #stateMark() {
    const { name, mark, word } = cellState(this.outcome);
    return html`<span class="state ${name}"><span aria-hidden="true">${mark}</span> <span class="word">${word}</span></span>`;
  }

  #foldButton() {
    const { folded, cell } = this;
    return html`<button
      class="fold"
      aria-expanded=${!folded}
      aria-label=${`${folded ? "Unfold" : "Fold"} ${cell.title}`}
      title=${folded ? "Unfold" : "Fold to one line"}
      @click=${() => this.#fold(!folded)}
    ><svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true"><path d=${folded ? "M7 4l6 6-6 6" : "M4 7l6 6 6-6"}></path></svg></button>`;
  }

  async #fold(folded: boolean): Promise<void> {
    this.store.fold([this.cell.id], folded);
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLElement>(".fold")?.focus();
  }

  /** What stands for a supply on paper. */
  #supplyLine(supply: string | undefined) {
    return supply === undefined ? nothing : html`<p class="supply" aria-hidden="true">${supply}</p>`;
  }

  /** One line: what it is, what it comes to, how it stands with it. */
  #foldedLine(kind: CellKind | undefined, supply: string | undefined) {
    const { cell, outcome, store, cover } = this;
    const verdict = kind && verdictOf(store, cell, kind);
    const words = cover
      ? `Covered until “${cover.title}” is answered.`
      : outcome.status === "error" || outcome.status === "blocked"
        ? wordsIn(outcome.message, this.units)
        : verdict && inShort(verdict);
    return html`<section class="line" role="group" aria-labelledby="title" tabindex="-1">
      ${this.#foldButton()}
      <p class="told" @click=${() => this.#fold(false)}>
        <span class="kind">${kind?.label ?? cell.kind}</span>
        <strong class="name">${cell.title}</strong>
        ${verdict?.swatch ? html`<span class="swatch" .style=${`background:${verdict.swatch}`}></span>` : nothing}
        <span class="words">${words ?? nothing}</span>
      </p>
      <h2 id="title" class="unseen">${cell.title}</h2>
      ${this.#supplyLine(supply)} ${this.#stateMark()}
    </section>`;
  }

  #trouble() {
    const { outcome } = this;
    if (outcome.status === "error") {
      return html`<bole-message kind=${outcome.toGive ? "begin" : "error"} .text=${wordsIn(outcome.message, this.units)} .field=${outcome.toGive ? "" : this.#fieldLabel(outcome.field)}>
        ${outcome.wayOut ? html`<p>${wordsIn(outcome.wayOut, this.units)}.</p>` : nothing}
      </bole-message>`;
    }
    if (outcome.status === "blocked") {
      return html`<bole-message kind="blocked" .text=${outcome.message}>
        <button @click=${() => ask(this, "bole-go", { id: outcome.root })}>Go to “${outcome.rootTitle}”</button>
      </bole-message>`;
    }
    return nothing;
  }

  #fieldLabel(field: string | undefined): string {
    const kind = this.#kind;
    if (!field || !kind) return "";
    return kind.parameters[field]?.label ?? kind.inputs[field]?.label ?? field;
  }

  #notes() {
    if (this.outcome.status !== "ok" || this.outcome.notes.length === 0) return nothing;
    return html`<ul class="notes">${this.outcome.notes.map((text) => html`<li>${wordsIn(text, this.units)}</li>`)}</ul>`;
  }

  #progress(action: RunningAction) {
    return html`<div class="progress" role="status">
      <progress max="1" .value=${action.share ?? nothing} aria-label="Progress"></progress>
      <span>${action.text ?? "Computing…"}</span>
      <button @click=${action.stop}>Stop</button>
    </div>`;
  }

  #menu() {
    const { store, cell } = this;
    if (this.asking) {
      return html`<div class="menu" role="group" aria-label="Remove this cell?">
        <span>Remove “${cell.title}”? Cells that use it will wait for another.</span>
        <button @click=${() => store.remove(cell.id)}>Remove it</button>
        <button @click=${() => (this.asking = false)}>Keep it</button>
      </div>`;
    }
    return html`<div class="menu" role="group" aria-label="More">
      <button ?disabled=${this.first} @click=${() => store.move(cell.id, -1)}>Move up</button>
      <button ?disabled=${this.last} @click=${() => store.move(cell.id, 1)}>Move down</button>
      <button @click=${() => this.#duplicate()}>Duplicate</button>
      ${this.#kind && canBeKept(this.#kind) ? html`<button @click=${() => this.#keep()}>Keep in the library</button>` : nothing}
      <button @click=${() => (this.asking = true)}>Remove…</button>
    </div>`;
  }

  async #keep(): Promise<void> {
    await import("./libraryLine.ts");
    this.menuOpen = false;
    this.keeping = true;
  }

  #duplicate(): void {
    const copy = this.store.duplicate(this.cell.id);
    this.menuOpen = false;
    if (copy) ask(this, "bole-go", { id: copy });
  }

  static override styles = cellFrameStyles;
}
