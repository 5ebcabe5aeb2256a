import { css, html, LitElement, nothing, type PropertyValues } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { viewOf } from "../../cells/registry.ts";
import type { CellView } from "../controls/cellView.ts";
import { ask } from "../controls/emit.ts";
import type { UnitSystem } from "../units/units.ts";
import "../controls/index.ts";
import type { NotebookCell } from "../document/notebook.ts";
import type { Cover } from "../document/secrets.ts";
import { messageOf } from "../graph/messageOf.ts";
import type { Outcome } from "../graph/outcome.ts";
import { inShort } from "../graph/verdict.ts";
import { cellFrameStyles } from "../shell/cellFrameStyles.ts";
import { cellState } from "../shell/cellState.ts";
import { feedView, verdictOf } from "../shell/feedView.ts";
import type { RunningAction } from "../shell/notebookStore.ts";
import { wordsIn } from "../units/wordsIn.ts";
import type { HandedStore } from "./handedStore.ts";

/**
 * A living cell of a saved page: what it is, what it comes to, and its view; nothing to rename, link or take away.
 *
 * @fires bole-filled - the view is in place and has its first result
 */
@customElement("bole-handed-cell")
export class HandedCell extends LitElement {
  @property({ attribute: false }) store!: HandedStore;
  @property({ attribute: false }) cell!: NotebookCell;
  @property({ attribute: false }) outcome!: Outcome;
  @property({ attribute: false }) action: RunningAction | undefined;
  @property({ attribute: false }) cover: Cover | undefined;
  @property() units: UnitSystem = "metric";
  @property({ type: Boolean, reflect: true }) folded = false;
  @property({ type: Boolean, reflect: true }) filled = false;
  @state() private fault = "";
  #view: CellView | undefined;
  #isAsked = false;

  protected override willUpdate(_: PropertyValues<this>): void {
    if (!this.folded && !this.#isAsked) {
      this.#isAsked = true;
      void this.#load();
    }
    this.#feed();
  }

  async #load(): Promise<void> {
    try {
      const tag = await viewOf(this.cell.kind);
      if (tag) this.#view = document.createElement(tag) as CellView;
    } catch (error) {
      this.fault = `The view could not be loaded: ${messageOf(error)}`;
    }
    this.requestUpdate();
  }

  #feed(): void {
    const kind = this.store.registry.get(this.cell.kind);
    if (this.#view && kind) feedView(this.#view, this.store, this.cell, kind);
  }

  protected override async updated(): Promise<void> {
    if (this.filled) return;
    const isShown = this.folded || this.cover !== undefined || this.fault !== "" || this.#view !== undefined;
    if (!isShown || this.outcome.status === "running") return;
    if (this.#view?.isConnected) await this.#view.updateComplete;
    if (this.filled) return;
    this.filled = true;
    ask(this, "bole-filled");
  }

  /** Not the element itself: one with a tabindex of −1 would take everything in it out of the tab order. */
  override focus(options?: FocusOptions): void {
    this.renderRoot.querySelector("section")?.focus(options);
  }

  protected override render() {
    const { store, cell, folded } = this;
    const kind = store.registry.get(cell.kind);
    const label = kind?.label ?? cell.kind;
    if (folded) {
      const verdict = kind && verdictOf(store, cell, kind);
      return html`<section class="line" role="group" aria-labelledby="title" tabindex="-1">
        ${this.#foldButton()}
        <p class="told" @click=${() => store.fold([cell.id], false)}>
          <span class="kind">${label}</span> <strong class="name">${cell.title}</strong>
          ${verdict?.swatch ? html`<span class="swatch" .style=${`background:${verdict.swatch}`}></span>` : nothing}
          <span class="words">${this.cover ? this.#coverWords(this.cover) : verdict ? inShort(verdict) : nothing}</span>
        </p>
        <h2 id="title" class="unseen">${cell.title}</h2>
      </section>`;
    }
    return html`<section role="group" aria-labelledby="title" tabindex="-1">
      <header>
        ${this.#foldButton()}
        <div class="names"><p class="kind">${label}</p><h2 id="title" class="name">${cell.title}</h2></div>
        ${this.#state()}
      </header>
      ${this.cover ? html`<p class="cover">${this.#coverWords(this.cover)} <button @click=${() => ask(this, "bole-go", { id: this.cover?.id })}>Go there</button></p>` : this.#body()}
    </section>`;
  }

  #coverWords({ title }: Cover): string {
    return `Covered until “${title}” is answered.`;
  }

  #body() {
    const { outcome, action } = this;
    const isStale = outcome.status === "error" || outcome.status === "blocked";
    return html`
      ${isStale ? html`<bole-message kind=${outcome.status} .text=${wordsIn(outcome.message, this.units)}></bole-message>` : nothing}
      <div class=${isStale ? "body stale" : "body"}>${this.fault ? html`<p role="alert">${this.fault}</p>` : (this.#view ?? nothing)}</div>
      ${action ? html`<div class="progress" role="status"><span>${action.text ?? "Computing…"}</span> <button @click=${action.stop}>Stop</button></div>` : nothing}
      ${outcome.status === "ok" && outcome.notes.length > 0 ? html`<ul class="notes">${outcome.notes.map((text) => html`<li>${wordsIn(text, this.units)}</li>`)}</ul>` : nothing}
    `;
  }

  /** How it stands with the cell, where there is something to say about it. */
  #state() {
    const { name, mark, word } = cellState(this.outcome);
    if (name === "ok") return nothing;
    return html`<span class="state ${name}"><span aria-hidden="true">${mark}</span> <span class="word">${word}</span></span>`;
  }

  #foldButton() {
    const { folded, cell, store } = this;
    const words = folded ? "Unfold" : "Fold";
    return html`<button class="fold" aria-expanded=${!folded} aria-label=${`${words} ${cell.title}`} @click=${() => store.fold([cell.id], !folded)}>
      <svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true"><path d=${folded ? "M7 4l6 6-6 6" : "M4 7l6 6 6-6"}></path></svg>
    </button>`;
  }

  static override styles = [
    cellFrameStyles,
    css`
      :host {
        font-family: var(--bole-font);
        font-size: var(--bole-text);
        line-height: 1.35;
        color: var(--bole-ink);
        margin-block-end: 8px;
      }
      h2.name {
        flex: 1;
        min-width: 0;
        font-size: 22px;
        line-height: 1.25;
        margin: 8px 0;
        overflow-wrap: anywhere;
      }
      @media (max-width: 899px) {
        .kind {
          margin: 0;
        }
        h2.name {
          margin-block-start: 0;
          font-size: 20px;
        }
      }
      /* The title has a line of its own, so that it is not cut. */
      @media (max-width: 480px) {
        h2.name {
          grid-area: 2 / 1 / 3 / -1;
        }
      }
    `,
  ];
}
