import { css, html, LitElement } from "lit";
import { customElement } from "lit/decorators.js";
import { keepWidth, leastWidth } from "./keptWidth.ts";

/** The cells keep at least this much of the window, px. */
const leastForCells = 520;
const keyStep = 24;

/**
 * The edge by which the column of what is in sight is drawn wider or narrower, by pointer or by arrow keys.
 *
 * @fires bole-width - CustomEvent<number>: the width wished for, px
 */
@customElement("bole-side-edge")
export class SideEdge extends LitElement {
  #drawing = false;

  get #width(): number {
    return Math.round(this.parentElement?.getBoundingClientRect().width ?? 0);
  }

  #ask(wished: number, done: boolean): void {
    const width = Math.round(
      Math.min(Math.max(leastWidth, wished), Math.max(leastWidth, innerWidth - leastForCells)),
    );
    this.dispatchEvent(new CustomEvent("bole-width", { detail: width }));
    this.#tell(width);
    if (done) keepWidth(width);
  }

  /** Said when it has the focus: measuring it in every update would lay the page out once more. */
  #tell(width: number): void {
    this.renderRoot.querySelector("div")?.setAttribute("aria-valuenow", `${width}`);
  }

  readonly #grabbed = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    this.#drawing = true;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
  };

  readonly #drawn = (event: PointerEvent): void => {
    if (this.#drawing) this.#ask(document.documentElement.clientWidth - event.clientX, false);
  };

  readonly #released = (event: PointerEvent): void => {
    if (!this.#drawing) return;
    this.#drawing = false;
    this.#ask(document.documentElement.clientWidth - event.clientX, true);
  };

  readonly #keyed = (event: KeyboardEvent): void => {
    const by = { ArrowLeft: keyStep, ArrowRight: -keyStep }[event.key];
    if (!by || event.altKey) return;
    event.preventDefault();
    this.#ask(this.#width + by, true);
  };

  protected override render() {
    return html`<div
      role="separator"
      aria-orientation="vertical"
      aria-label="Width of what is in sight"
      aria-valuemin=${leastWidth}
      aria-valuemax="2000"
      aria-valuenow=${leastWidth}
      tabindex="0"
      @pointerdown=${this.#grabbed}
      @pointermove=${this.#drawn}
      @pointerup=${this.#released}
      @pointercancel=${() => (this.#drawing = false)}
      @focus=${() => this.#tell(this.#width)}
      @keydown=${this.#keyed}
    ></div>`;
  }

  static override styles = css`
    :host {
      display: none;
    }
    @media (min-width: 1100px) {
      :host {
        display: block;
        position: absolute;
        inset-block: 0;
        inset-inline-start: -8px;
        inline-size: 16px;
        z-index: 5;
      }
    }
    div {
      block-size: 100%;
      cursor: col-resize;
      touch-action: none;
    }
    div:hover,
    div:focus-visible {
      outline: none;
      background: linear-gradient(
        90deg,
        transparent 6px,
        var(--bole-line) 6px,
        var(--bole-line) 10px,
        transparent 10px
      );
    }
    @media print {
      :host {
        display: none;
      }
    }
  `;
}
