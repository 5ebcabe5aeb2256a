import { css, html, LitElement, nothing, unsafeCSS } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { repeat } from "lit/directives/repeat.js";
import { notPrinted, tokens } from "../controls/tokens.ts";
import type { KeptPiece } from "../document/notebook.ts";
import "./keptPiece.ts";
import type { NotebookStore } from "./notebookStore.ts";

const leastChart = 105;
const tallestChart = 420;
/** Room of a control, and of the line over each piece, px. */
const controlHeight = 76;
const headHeight = 40;
/** Room of a scroll bar, and of a second line of words, where pictures stand beside one another, px. */
const scrollRoom = 30;

/** Pieces that come later than this are not waited for. */
const longestFillingMs = 1500;

/** A drawer shows one piece at a time. */
const isDrawer = matchMedia("(max-width: 599px)");

/** Whether a piece is a control rather than a picture: these stand first, so that the hand is beside what it moves. */
const isControl = ({ piece }: KeptPiece) => piece.startsWith("set-");

/**
 * What is kept in sight: one under the other in a column; controls over pictures, the pictures beside one another, in a pane
 * or a drawer.
 */
@customElement("bole-kept")
export class KeptColumn extends LitElement {
  @property({ attribute: false }) store!: NotebookStore;
  /** Changes with everything that is computed. */
  @property({ attribute: false }) moment: unknown;
  /** Height there is for all, px. */
  @state() private room = 0;
  /** Shown when all pieces are in place, so that none is pushed about by another. */
  @property({ type: Boolean, reflect: true }) filling = true;
  #came = 0;
  readonly #size = new ResizeObserver(([{ contentRect }]) => {
    this.room = Math.floor(contentRect.height);
    void this.updateComplete.then(() => this.#settle());
  });

  override connectedCallback(): void {
    super.connectedCallback();
    this.#size.observe(this);
    setTimeout(() => (this.filling = false), longestFillingMs);
  }

  readonly #pieceCame = (): void => {
    this.#came++;
    this.#settle();
  };

  #settle(): void {
    if (this.room > 0 && this.#came >= this.store.sight.length) this.filling = false;
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#size.disconnect();
  }

  protected override render() {
    const { store, moment } = this;
    const { sight } = store;
    const isColumn = innerWidth >= 1100;
    const both = [sight.filter(isControl), sight.filter((kept) => !isControl(kept))] as const;
    const [controls, pictures] = isDrawer.matches ? [[], [...both[1], ...both[0]]] : both;
    const forPictures = this.room - controls.length * controlHeight;
    const each = isColumn
      ? forPictures / Math.max(1, Math.min(2, pictures.length))
      : forPictures - scrollRoom;
    const fit = Math.round(Math.min(tallestChart, Math.max(leastChart, each - headHeight)));
    const piece = (kept: KeptPiece) => html`<li>
      <bole-kept-piece @bole-piece=${this.#pieceCame} .store=${store} .kept=${kept} .moment=${moment} .fit=${fit}></bole-kept-piece>
    </li>`;
    const keyOf = ({ cell, piece: name }: KeptPiece) => `${cell} ${name}`;
    return html`${controls.length > 0 ? html`<ul class="controls">${repeat(controls, keyOf, piece)}</ul>` : nothing}
      <ul class="pictures" tabindex="0" aria-label="Kept in sight" .style=${`--room: ${fit + headHeight}px`}>${repeat(pictures, keyOf, piece)}</ul>`;
  }

  static override styles = [
    tokens,
    notPrinted,
    css`
      :host {
        display: flex;
        flex-direction: column;
        min-block-size: 0;
        overflow-y: auto;
        font-family: var(--bole-font);
        color: var(--bole-ink);
        background: var(--bole-paper);
      }
      :host([filling]) {
        overflow-y: hidden;
      }
      :host([filling]) ul {
        visibility: hidden;
      }
      ul {
        list-style: none;
        margin: 0;
        padding: 0 16px;
      }
      li {
        padding-block: 0 4px;
        min-inline-size: 0;
      }
      .controls li {
        box-sizing: border-box;
        min-block-size: ${unsafeCSS(controlHeight)}px;
      }
      .pictures li {
        box-sizing: border-box;
        min-block-size: var(--room);
        border-block-start: 1px solid var(--bole-hairline);
      }
      ul:focus-visible {
        outline: 3px solid var(--bole-focus);
        outline-offset: -3px;
      }
      /* Beside one another, a swipe apart. */
      @media (max-width: 1099px) {
        .pictures {
          display: flex;
          gap: 16px;
          overflow-x: auto;
          scroll-snap-type: x mandatory;
          scrollbar-width: thin;
        }
        .pictures li {
          flex: 1 0 min(320px, 100%);
          scroll-snap-align: start;
          border-block-start: none;
        }
        li {
          padding-block: 0 4px;
        }
      }
      @media (max-width: 599px) {
        ul {
          padding-inline: 10px;
          scroll-padding-inline: 10px;
        }
        .pictures li {
          flex-basis: calc(100% - 28px);
        }
        /* One picture fills the drawer: a swipe leads to the next, and a tap sets. */
        .pictures {
          --bole-swipe: pan-x pan-y;
        }
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-kept": KeptColumn;
  }
}
