import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { displayColour } from "../colour/display.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import { differenceText } from "../controls/numbers.ts";
import { tokens } from "../controls/tokens.ts";
import type { ComparedStep, Coverage } from "../ports/coverage.ts";

/**
 * Simulated panels that stay in sight: the target, each part as painted beside it, and each part without basecoat.
 */
@customElement("bole-panels")
export class PanelStrip extends LitElement {
  @property({ attribute: false }) coverage: Coverage | undefined;
  /** True while the coverage cell is in error and its last value is shown. */
  @property({ type: Boolean, reflect: true }) stale = false;

  protected override render() {
    const { coverage } = this;
    if (!coverage) {
      return html`<p class="empty">Panels appear here once a coverage cell has a recipe and parts.</p>`;
    }
    const { targetSeen, parts, basecoat } = coverage;
    return html`<ul tabindex="0" aria-label="Target and parts">
      ${targetSeen ? html`<li class="target">${this.#panel(this.#css(targetSeen.XYZ), "", "Target", targetSeen.label, "")}</li>` : nothing}
      ${parts.map((part) => html`<li>${this.#compared(part.substrate.name, part.painted)}</li>`)}
      ${basecoat ? parts.map((part) => html`<li>${this.#compared(`${part.substrate.name}, no basecoat`, part.bare)}</li>`) : nothing}
    </ul>`;
  }

  #css(XYZ: ArrayLike<number>) {
    const { viewing } = this.coverage!;
    return displayColour(XYZ, viewing.weights.white, viewing.gamut);
  }

  #compared(name: string, step: ComparedStep) {
    const { targetSeen, viewing } = this.coverage!;
    const target = targetSeen ? this.#css(targetSeen.XYZ).css : "";
    const passes = step.difference !== undefined && step.difference <= viewing.tolerance;
    const figure =
      step.difference === undefined
        ? `${step.coats} coats`
        : `${viewing.formula} ${differenceText(step.difference)} ${passes ? "✓ passes" : ""}`;
    const words = targetSeen ? tradeWords(targetSeen.Lab, step.Lab).text : "";
    return this.#panel(this.#css(step.XYZ), target, name, figure, words);
  }

  #panel(
    shown: { css: string; inGamut: boolean },
    target: string,
    name: string,
    figure: string,
    words: string,
  ) {
    return html`
      <div class="surround">
        <div class="pair">
          ${target ? html`<span class="half" .style=${`background:${target}`}></span>` : nothing}
          <span class="half" .style=${`background:${shown.css}`}></span>
        </div>
      </div>
      <p class="name">${name}</p>
      <p class="figure">${figure}</p>
      <p class="words">${words}${shown.inGamut ? "" : html` <span class="beyond">beyond this screen</span>`}</p>
    `;
  }

  static override styles = [
    tokens,
    css`
      :host {
        display: block;
        font-family: var(--bole-font);
        font-size: 16px;
        line-height: 1.25;
        color: var(--bole-ink);
        background: var(--bole-paper);
        border-bottom: 1px solid var(--bole-line);
      }
      :host([stale]) ul {
        opacity: 0.5;
      }
      ul {
        display: flex;
        gap: 2px;
        margin: 0;
        padding: 0;
        list-style: none;
        overflow-x: auto;
        background: var(--bole-surround);
      }
      li {
        flex: 1 0 132px;
        max-width: 240px;
        background: var(--bole-paper);
        min-width: 0;
      }
      .surround {
        background: var(--bole-surround);
        padding: 8px 7px;
      }
      .pair {
        display: flex;
        height: clamp(44px, 9vh, 84px);
      }
      .half {
        flex: 1;
        print-color-adjust: exact;
        forced-color-adjust: none;
      }
      p {
        margin: 0;
        padding: 0 8px;
        overflow: hidden;
        text-overflow: ellipsis;
      }
      .name {
        padding-top: 5px;
      }
      .figure {
        font-weight: 700;
        font-variant-numeric: tabular-nums;
      }
      .words {
        padding-bottom: 6px;
      }
      .beyond {
        border: 1px dashed currentColor;
        border-radius: 4px;
        padding: 0 4px;
        white-space: nowrap;
      }
      .empty {
        padding: 12px 16px;
      }
      @media (max-height: 560px) {
        .words {
          display: none;
        }
      }
    `,
  ];
}
