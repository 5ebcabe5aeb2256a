import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { repeat } from "lit/directives/repeat.js";
import { ask } from "../controls/emit.ts";
import { controlStyles, notPrinted, tokens } from "../controls/tokens.ts";
import type { NotebookCell } from "../document/notebook.ts";
import { cellState } from "./cellState.ts";
import { verdictOf } from "./feedView.ts";
import { relationOf } from "./links.ts";
import type { NotebookStore } from "./notebookStore.ts";

/**
 * The whole notebook at a glance: each cell with its state and key figure. A press brings it into sight; it is dragged by
 * its handle into another place, or moved by keys. Pointing at one marks those it takes from and those it gives to.
 *
 * @fires bole-go - CustomEvent<{id}>
 * @fires bole-point - CustomEvent<{id}>: the cell that is pointed at, "" for none
 * @fires bole-close
 */
@customElement("bole-cells")
export class CellList extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  /** Changes with everything that is computed, so that the list looks again. */
  @property({ attribute: false }) moment: unknown;
  @state() private pointed = "";
  @state() private dragged: string | undefined;
  /** Place before which the dragged cell would go. */
  @state() private dropAt: number | undefined;

  #point(id: string): void {
    if (id === this.pointed) return;
    this.pointed = id;
    ask(this, "bole-point", { id });
  }

  #go(id: string): void {
    ask(this, "bole-go", { id });
    if (innerWidth < 1700) this.dispatchEvent(new Event("bole-close"));
  }

  #keyed(event: KeyboardEvent, id: string): void {
    const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
    if (!by) return;
    event.preventDefault();
    if (event.altKey || (event.target as Element).matches(".handle")) {
      event.stopPropagation();
      this.store.move(id, by);
      void this.updateComplete.then(() => this.#focus(id, ".handle"));
      return;
    }
    const { cells } = this.store.document;
    const next = cells[cells.findIndex((cell) => cell.id === id) + by];
    if (next) this.#focus(next.id, ".jump");
  }

  #focus(id: string, what: string): void {
    this.renderRoot.querySelector<HTMLElement>(`[data-id="${id}"] ${what}`)?.focus();
  }

  #grab(event: PointerEvent, id: string): void {
    this.dragged = id;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
  }

  #drag(event: PointerEvent): void {
    if (!this.dragged) return;
    const rows = [...this.renderRoot.querySelectorAll("li")];
    const at = rows.findIndex((row) => {
      const { top, height } = row.getBoundingClientRect();
      return event.clientY < top + height / 2;
    });
    this.dropAt = at < 0 ? rows.length : at;
  }

  #drop(): void {
    const { dragged, dropAt } = this;
    this.dragged = undefined;
    this.dropAt = undefined;
    if (!dragged || dropAt === undefined) return;
    const from = this.store.document.cells.findIndex(({ id }) => id === dragged);
    const by = dropAt - from - (dropAt > from ? 1 : 0);
    if (by !== 0) this.store.move(dragged, by);
  }

  protected override render() {
    const { store } = this;
    const { cells } = store.document;
    const all = cells.map(({ id }) => id);
    const anyOpen = all.some((id) => !store.isFolded(id));
    return html`<nav aria-label="Cells" @pointerleave=${() => this.#point("")}>
      <div class="head">
        <button @click=${() => store.fold(all, true)} ?disabled=${!anyOpen}>Fold all</button>
        <button @click=${() => store.fold(all, false)} ?disabled=${all.every((id) => !store.isFolded(id))}>Unfold all</button>
        <button class="close" aria-label="Close the list" @click=${() => this.dispatchEvent(new Event("bole-close"))}>×</button>
      </div>
      <ol>
        ${repeat(
          cells,
          ({ id }) => id,
          (cell, at) => this.#row(cell, at),
        )}
      </ol>
    </nav>`;
  }

  #row(cell: NotebookCell, at: number) {
    const { store, pointed } = this;
    const kind = store.registry.get(cell.kind);
    const { name, mark, word } = cellState(store.graph.outcome(cell.id));
    const verdict = kind && verdictOf(store, cell, kind);
    const relation = relationOf(store, pointed, cell.id);
    const drop =
      this.dropAt === at
        ? "before"
        : this.dropAt === at + 1 && at + 1 === store.document.cells.length
          ? "after"
          : "";
    return html`<li
      data-id=${cell.id}
      class=${`${relation} ${drop} ${this.dragged === cell.id ? "dragged" : ""}`}
      @pointerenter=${() => this.#point(cell.id)}
      @focusin=${() => this.#point(cell.id)}
      @keydown=${(event: KeyboardEvent) => this.#keyed(event, cell.id)}
    >
      <button
        class="handle"
        aria-label=${`Move ${cell.title}: arrow up or down`}
        title="Drag, or arrow keys"
        @pointerdown=${(event: PointerEvent) => this.#grab(event, cell.id)}
        @pointermove=${(event: PointerEvent) => this.#drag(event)}
        @pointerup=${() => this.#drop()}
        @pointercancel=${() => {
          this.dragged = undefined;
          this.dropAt = undefined;
        }}
      ><span aria-hidden="true">⠿</span></button>
      <button class="jump" @click=${() => this.#go(cell.id)}>
        <span class="kind">${kind?.label ?? cell.kind}</span>
        <span class="title">${cell.title}</span>
        ${
          verdict?.figure
            ? html`<span class="figure">${verdict.swatch ? html`<i .style=${`background:${verdict.swatch}`}></i>` : nothing}${verdict.figure}</span>`
            : nothing
        }
        ${relation ? html`<span class="relation">${relation === "gives" ? "gives to it" : "takes from it"}</span>` : nothing}
      </button>
      <span class="state ${name}" title=${word}><span aria-hidden="true">${mark}</span><span class="unseen">${word}</span></span>
    </li>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      :host {
        position: fixed;
        inset: var(--bole-bar, 54px) auto 0 0;
        inline-size: min(360px, 92vw);
        z-index: 7;
        background: var(--bole-paper);
        border-inline-end: 1px solid var(--bole-line);
        box-shadow: 6px 0 18px rgb(0 0 0 / 12%);
        overflow-y: auto;
        font-size: 16px;
      }
      .head {
        position: sticky;
        top: 0;
        z-index: 1;
        display: flex;
        gap: 6px;
        padding: 6px 8px;
        background: var(--bole-paper);
        border-block-end: 1px solid var(--bole-hairline);
      }
      .head button {
        min-block-size: 44px;
        padding: 0 12px;
        font-weight: 400;
      }
      .close {
        margin-inline-start: auto;
        border-color: transparent;
        background: none;
      }
      ol {
        list-style: none;
        margin: 0;
        padding: 0;
      }
      li {
        display: flex;
        align-items: center;
        border-block-end: 1px solid var(--bole-hairline);
        border-inline-start: 6px solid transparent;
      }
      li.gives {
        border-inline-start: 6px solid var(--bole-ink);
      }
      li.takes {
        border-inline-start: 6px double var(--bole-ink);
      }
      li.before {
        box-shadow: 0 -3px 0 var(--bole-ink);
      }
      li.after {
        box-shadow: 0 3px 0 var(--bole-ink);
      }
      li.dragged {
        opacity: 0.5;
      }
      li button {
        border: none;
        background: none;
        font-weight: 400;
      }
      .handle {
        flex: none;
        padding: 0;
        min-inline-size: 44px;
        min-block-size: 44px;
        color: var(--bole-ink-soft);
        cursor: grab;
        touch-action: none;
      }
      .jump {
        flex: 1;
        min-width: 0;
        padding: 6px 4px;
        display: flex;
        flex-wrap: wrap;
        gap: 0 10px;
        text-align: start;
        overflow-wrap: anywhere;
        line-height: 1.3;
      }
      .kind {
        flex-basis: 100%;
        font-size: 14px;
        color: var(--bole-ink-soft);
      }
      .title {
        font-weight: 700;
      }
      .figure i {
        display: inline-block;
        inline-size: 16px;
        block-size: 16px;
        margin-inline-end: 5px;
        vertical-align: -3px;
        border: 2px solid var(--bole-surround);
        forced-color-adjust: none;
      }
      .relation {
        flex-basis: 100%;
        font-size: 14px;
      }
      .state {
        flex: none;
        inline-size: 40px;
        text-align: center;
        position: relative;
        color: var(--bole-ink-soft);
      }
      .state.error {
        font-weight: 700;
        color: var(--bole-ink);
      }
      @media (min-width: 1700px) {
        :host {
          inline-size: 300px;
          box-shadow: none;
        }
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-cells": CellList;
  }
}
