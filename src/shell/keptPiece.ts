import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { viewOf } from "../../cells/registry.ts";
import type { CellView } from "../controls/cellView.ts";
import { ask } from "../controls/emit.ts";
import { controlStyles, notPrinted, tokens } from "../controls/tokens.ts";
import type { KeptPiece } from "../document/notebook.ts";
import { messageOf } from "../graph/messageOf.ts";
import { feedView } from "./feedView.ts";
import type { NotebookStore } from "./notebookStore.ts";

/**
 * One piece of a cell that is kept in sight: a second view of the cell that shows nothing else and works as the cell does.
 *
 * @fires bole-go - CustomEvent<{id}>
 * @fires bole-keep - CustomEvent<KeepRequest>: the piece is let go
 * @fires bole-piece - it is in place, or will not come
 */
@customElement("bole-kept-piece")
export class KeptPieceView extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  @property({ attribute: false }) kept!: KeptPiece;
  /** Changes with everything that is computed. */
  @property({ attribute: false }) moment: unknown;
  /** Height that a chart may take, px. */
  @property({ type: Number }) fit = 0;
  @state() private view: CellView | undefined;
  @state() private fault = "";
  /** What the piece is called. */
  @state() private label: string | undefined;
  #viewKind: string | undefined;
  #isTold = false;

  protected override willUpdate(): void {
    const cell = this.store.cell(this.kept.cell);
    const kind = cell && this.store.registry.get(cell.kind);
    if (!cell || !kind) return;
    if (cell.kind !== this.#viewKind) void this.#make(cell.kind);
    const { view } = this;
    if (!view) return;
    view.only = this.kept.piece;
    view.fit = this.fit;
    feedView(view, this.store, cell, kind);
  }

  protected override async updated(): Promise<void> {
    if (this.fault || this.store.isCovered(this.kept.cell)) this.#tell();
    if (!this.view?.isConnected) return;
    await this.view.updateComplete;
    const { pieceLabel } = this.view;
    if (this.label !== pieceLabel) this.label = pieceLabel;
    else if (pieceLabel) this.#tell();
  }

  #tell(): void {
    if (this.#isTold) return;
    this.#isTold = true;
    ask(this, "bole-piece", this.kept);
  }

  async #make(kind: string): Promise<void> {
    this.#viewKind = kind;
    this.view = undefined;
    try {
      const tag = await viewOf(kind);
      if (tag && this.#viewKind === kind) {
        const view = document.createElement(tag) as CellView;
        view.setAttribute("only", this.kept.piece);
        this.view = view;
      }
    } catch (error) {
      this.fault = `The view could not be loaded: ${messageOf(error)}`;
    }
  }

  protected override render() {
    const { store, kept } = this;
    const cell = store.cell(kept.cell);
    if (!cell) return nothing;
    const cover = store.coverOf(cell.id);
    const outcome = store.graph.outcome(cell.id);
    const stale = outcome.status === "error" || outcome.status === "blocked";
    const isControl = kept.piece.startsWith("set-");
    return html`<div class=${isControl && !cover ? "head over" : "head"}>
        <button class="from" aria-description="Go to the cell" @click=${() => ask(this, "bole-go", { id: cell.id })}>${isControl ? cell.title : (this.label ?? cell.title)}</button>
        <button class="let-go" aria-description=${this.label ?? cell.title} @click=${() => ask(this, "bole-keep", kept)}>Let go</button>
      </div>
      ${
        cover
          ? html`<p class="soft">Covered until “${cover.title}” is answered.</p>`
          : html`<div class=${stale ? "stale" : ""}>
              ${this.fault ? html`<p role="alert">${this.fault}</p>` : (this.view ?? nothing)}
              ${this.view && !this.label && !stale ? html`<p class="soft">It is not there at the moment.</p>` : nothing}
              ${this.view?.value === undefined && stale ? html`<p class="soft">${outcome.message}</p>` : nothing}
            </div>`
      }`;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      :host {
        display: block;
        position: relative;
        min-inline-size: 0;
        font-size: 16px;
      }
      .head {
        display: flex;
        align-items: center;
        justify-content: space-between;
        gap: 8px;
        min-block-size: 30px;
      }
      .head button {
        border: none;
        background: none;
        padding: 0;
        min-block-size: 30px;
        min-inline-size: 44px;
        font-weight: 400;
        font-size: 14px;
        color: var(--bole-ink-soft);
        text-align: start;
        overflow-wrap: anywhere;
      }
      .head .from {
        color: var(--bole-ink);
        font-weight: 700;
        font-size: 15px;
        line-height: 1.2;
      }
      /* A control says itself what it is. */
      .over {
        position: absolute;
        inset-inline-end: 0;
        z-index: 1;
      }
      .over .from {
        font-weight: 400;
        font-size: 14px;
        color: var(--bole-ink-soft);
      }
      @media (max-width: 599px) {
        .over .from {
          display: none;
        }
      }
      .head .let-go {
        flex: none;
        text-decoration: underline;
        text-underline-offset: 3px;
      }
      .head button:hover {
        color: var(--bole-ink);
      }
      .soft {
        color: var(--bole-ink-soft);
        margin: 4px 0;
      }
      .stale {
        opacity: 0.55;
      }
      @media (pointer: coarse) {
        .head button {
          min-block-size: 44px;
        }
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-kept-piece": KeptPieceView;
  }
}
