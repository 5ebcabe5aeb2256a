import { css, html, LitElement } from "lit";
import { customElement, property } from "lit/decorators.js";
import { tokens } from "./tokens.ts";

/**
 * The press that keeps a piece of a cell in sight, or lets it go; it stands in the upper corner of what it belongs to.
 *
 * @fires click - from the button inside
 */
@customElement("bole-keep")
export class BoleKeep extends LitElement {
  static override shadowRootOptions: ShadowRootInit = {
    ...LitElement.shadowRootOptions,
    delegatesFocus: true,
  };

  /** What is kept. */
  @property() label = "";
  @property({ type: Boolean, reflect: true }) kept = false;
  /** Left out of the tab order, where a key does the same for the control that has the focus. */
  @property({ type: Boolean }) quiet = false;

  protected override render() {
    return html`<button
      type="button"
      aria-label="In sight"
      aria-description=${this.label}
      aria-pressed=${this.kept}
      title=${this.kept ? "Let go" : "In sight"}
      tabindex=${this.quiet ? -1 : 0}
    >
      <svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">
        <rect class="page" x="2" y="3" width="16" height="14" rx="2" />
        <rect class="side" x="11" y="3" width="7" height="14" rx="1" />
      </svg>
    </button>`;
  }

  static override styles = [
    tokens,
    css`
      :host {
        position: absolute;
        inset-block-start: -12px;
        inset-inline-end: -8px;
        z-index: 1;
        line-height: 0;
        opacity: var(--bole-keep, 0);
        transition: opacity var(--bole-motion);
      }
      :host([kept]),
      :host(:focus-within),
      :host(:hover) {
        opacity: 1;
      }
      button {
        inline-size: 44px;
        block-size: 44px;
        padding: 0;
        border: none;
        border-radius: var(--bole-radius);
        background: none;
        color: var(--bole-ink-soft);
        cursor: pointer;
        touch-action: manipulation;
      }
      button:hover {
        color: var(--bole-ink);
      }
      button:focus-visible {
        outline: 3px solid var(--bole-focus);
        outline-offset: -3px;
      }
      .page {
        fill: none;
        stroke: currentColor;
        stroke-width: 1.6;
      }
      .side {
        fill: currentColor;
        fill-opacity: 0.25;
      }
      :host([kept]) .side {
        fill-opacity: 1;
      }
      @media (max-width: 599px) {
        :host {
          inset-inline-end: 0;
        }
      }
      @media (hover: none) {
        :host {
          opacity: 0.75;
        }
      }
      @media print {
        :host {
          display: none;
        }
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-keep": BoleKeep;
  }
}
