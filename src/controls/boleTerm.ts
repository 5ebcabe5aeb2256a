import { css, html, LitElement } from "lit";
import { customElement, property } from "lit/decorators.js";
import { controlStyles, tokens } from "./tokens.ts";

/** Room kept between the explanation and the edge of the window, px. */
const margin = 10;

/**
 * A word with its explanation: a tap, Enter or Space opens it, Escape or a tap elsewhere closes it, and a screen reader
 * hears it with the word.
 */
@customElement("bole-term")
export class BoleTerm extends LitElement {
  @property() word = "";
  @property() meaning = "";
  /** Punctuation after the word, kept on its line. */
  @property() tail = "";

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    removeEventListener("scroll", this.#close, true);
  }

  get #bubble(): HTMLElement {
    return this.renderRoot.querySelector<HTMLElement>("#meaning")!;
  }

  /** The bubble stands over the page, so it would be left behind when the word scrolls away. */
  readonly #close = (): void => {
    if (this.#bubble.matches(":popover-open")) this.#bubble.hidePopover();
  };

  readonly #toggled = (event: Event): void => {
    if ((event as ToggleEvent).newState !== "open") {
      removeEventListener("scroll", this.#close, true);
      return;
    }
    addEventListener("scroll", this.#close, { capture: true, passive: true });
    const word = this.renderRoot.querySelector("button")!.getBoundingClientRect();
    const bubble = this.#bubble;
    const size = bubble.getBoundingClientRect();
    const left = Math.max(margin, Math.min(word.left, innerWidth - size.width - margin));
    const below = word.bottom + size.height + margin < innerHeight;
    bubble.style.left = `${left}px`;
    bubble.style.top = `${below ? word.bottom : Math.max(margin, word.top - size.height)}px`;
  };

  override render() {
    // No white space inside: the word stands in running text.
    return html`<button type="button" popovertarget="meaning" aria-describedby="meaning">${this.word}</button
      >${this.tail}<span id="meaning" popover @toggle=${this.#toggled}>${this.meaning}</span>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      :host {
        display: inline;
        font-size: inherit;
        line-height: inherit;
        color: inherit;
        white-space: nowrap;
      }
      button {
        display: inline;
        min-block-size: 0;
        min-inline-size: 0;
        /* The hit area is taller than the line; the negative margin keeps the lines where they are. */
        padding: 0.7em 0.1em;
        margin: -0.7em -0.1em;
        border: 0;
        border-radius: 4px;
        background: none;
        font: inherit;
        text-decoration-line: underline;
        text-decoration-style: dotted;
        text-decoration-thickness: 2px;
        text-underline-offset: 4px;
        cursor: help;
      }
      button:active {
        background: none;
      }
      [popover] {
        position: fixed;
        inset: auto;
        margin: 0;
        inline-size: max-content;
        max-inline-size: min(24rem, calc(100vw - 2 * 10px));
        padding: 0.6rem 0.9rem;
        border: 1.5px solid var(--bole-ink);
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
        color: var(--bole-ink);
        font-size: var(--bole-text);
        font-weight: 400;
        line-height: 1.4;
        text-align: start;
        white-space: normal;
      }
      @media print {
        button {
          text-decoration: none;
        }
      }
    `,
  ];
}
