import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { controlStyles, tokens } from "./tokens.ts";

/**
 * A flat colour panel on the neutral surround, with its words under it. With `target` set the panel is a pair: target
 * on the left, sample on the right, touching edge to edge, so that a small difference shows at the seam.
 */
@customElement("bole-swatch")
export class BoleSwatch extends LitElement {
  /** CSS colour of the panel, or of its sample half */
  @property() colour = "";
  @property() label = "";
  /** second line, such as the difference in words */
  @property({ attribute: "sub-label" }) subLabel = "";
  /** shown when set, such as "beyond this screen" */
  @property() badge = "";
  /** CSS colour of the target half; empty for a single panel */
  @property() target = "";
  @property({ attribute: "target-label" }) targetLabel = "target";
  @property({ attribute: "sample-label" }) sampleLabel = "sample";

  override updated(): void {
    // Through the style object: a style attribute would be refused by a strict content policy.
    for (const half of this.renderRoot.querySelectorAll<HTMLElement>(".half")) {
      half.style.background = (half.dataset.of === "target" ? this.target : this.colour) || "";
    }
  }

  #half(of: "target" | "sample", colour: string) {
    const shown = CSS.supports("color", colour);
    return html`<div class=${shown ? "half" : "half none"} data-of=${of}>${shown ? nothing : "no colour"}</div>`;
  }

  override render() {
    const pair = this.target !== "";
    return html`
      <figure>
        <div class="surround">
          <div class="panel">
            ${pair ? this.#half("target", this.target) : nothing}${this.#half("sample", this.colour)}
          </div>
        </div>
        <figcaption>
          ${
            pair
              ? html`<span class="halves"><span>${this.targetLabel}</span><span>${this.sampleLabel}</span></span>`
              : nothing
          }
          <span class="name">${this.label}</span>
          ${this.subLabel ? html`<span class="sub">${this.subLabel}</span>` : nothing}
          ${this.badge ? html`<span class="badge">${this.badge}</span>` : nothing}
          <slot></slot>
        </figcaption>
      </figure>
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      figure {
        margin: 0;
      }
      .surround {
        background: var(--bole-surround);
        padding: var(--bole-swatch-surround, 18px);
        print-color-adjust: exact;
        -webkit-print-color-adjust: exact;
      }
      .panel {
        /* A mid-grey panel would melt into its surround. */
        outline: 1px solid #00000059;
        display: flex;
        block-size: var(--bole-swatch-height, 120px);
      }
      .half {
        flex: 1;
        min-inline-size: 0;
        print-color-adjust: exact;
        -webkit-print-color-adjust: exact;
        forced-color-adjust: none;
      }
      .half.none {
        display: grid;
        place-items: center;
        border: 2px dashed #000;
        color: #000;
      }
      figcaption {
        padding-block-start: 0.4rem;
      }
      .halves {
        display: flex;
        font-size: var(--bole-text-small);
        color: var(--bole-ink-soft);
      }
      .halves span {
        flex: 1;
        min-inline-size: 0;
        overflow-wrap: break-word;
        text-align: center;
      }
      .name,
      .sub,
      .badge {
        display: block;
        overflow-wrap: anywhere;
      }
      .name {
        font-weight: 700;
      }
      .sub {
        font-size: var(--bole-text-small);
        /* Words that follow a slider keep their room. */
        min-block-size: calc(var(--bole-swatch-lines, 0) * 1lh);
      }
      @media print {
        .surround {
          padding: 6px;
        }
        .panel {
          block-size: 14mm;
        }
      }
      .badge {
        inline-size: fit-content;
        margin-block-start: 0.25rem;
        padding: 0.05rem 0.5rem;
        border: 1.5px dashed var(--bole-ink);
        border-radius: var(--bole-radius);
        font-size: var(--bole-text-small);
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-swatch": BoleSwatch;
  }
}
