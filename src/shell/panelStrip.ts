import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { displayColour } from "../colour/display.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import { differenceText } from "../controls/numbers.ts";
import { tokens, unseen } from "../controls/tokens.ts";
import type { ComparedStep, Coverage } from "../ports/coverage.ts";

/**
 * Simulated panels that stay in sight: the target, each part as painted beside it, and each part without basecoat.
 */
@customElement("bole-panels")
export class PanelStrip extends LitElement {
  @property({ attribute: false }) coverage: Coverage | undefined;
  /** True while the coverage cell is in error and its last value is shown. */
  @property({ type: Boolean, reflect: true }) stale = false;
  /** True while the first coverage is still to come: its room is kept, so that nothing moves when it is there. */
  @property({ type: Boolean }) awaited = false;

  /** Title of the open question that the panels would answer. */
  @property({ attribute: false }) covered: string | undefined;

  protected override render() {
    const { coverage, covered } = this;
    if (covered !== undefined) {
      return html`<p class="empty">The panels are covered until “${covered}” is answered.</p>`;
    }
    if (!coverage) {
      if (this.awaited) {
        return html`<ul aria-busy="true"><li class="target">${this.#panel({ css: "none", inGamut: true }, "", "Target", "Being computed…", "")}</li></ul>`;
      }
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
        : html`${viewing.formula} ${differenceText(step.difference)}${passes ? html` ✓<span class="unseen"> passes</span>` : nothing}`;
    const words = targetSeen ? tradeWords(targetSeen.Lab, step.Lab).short : "";
    return this.#panel(this.#css(step.XYZ), target, name, figure, words);
  }

  #panel(
    shown: { css: string; inGamut: boolean },
    target: string,
    name: string,
    figure: unknown,
    words: string,
  ) {
    return html`
      <div class="surround">
        <div class="pair">
          ${target ? html`<span class="half" .style=${`background:${target}`}></span>` : nothing}
          <span class="half" .style=${`background:${shown.css}`}></span>
          ${shown.inGamut ? nothing : html`<span class="beyond">beyond this screen</span>`}
        </div>
      </div>
      <p class="name" title=${name}>${name}</p>
      <p class="figure">${figure}</p>
      <p class="words">${words}</p>
    `;
  }

  static override styles = [
    tokens,
    unseen,
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
        /* Words for screen readers alone, placed within, must not widen the page. */
        position: relative;
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
        position: relative;
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
      /* Every line has its room, so that the strip is as tall as it is whatever the words are. */
      .name {
        margin-top: 5px;
        block-size: 2lh;
      }
      .figure {
        white-space: nowrap;
        font-weight: 700;
        font-variant-numeric: tabular-nums;
      }
      .words {
        block-size: 3lh;
        margin-bottom: 6px;
      }
      .target .name {
        block-size: auto;
      }
      .target .figure {
        block-size: 5lh;
        white-space: normal;
      }
      .target .words {
        block-size: 0;
      }
      .beyond {
        position: absolute;
        inset: auto 2px 2px;
        border-radius: 3px;
        padding: 0 4px;
        background: var(--bole-paper);
        text-align: center;
        line-height: 1.1;
      }
      .empty {
        padding: 12px 16px;
      }
      @media print {
        :host {
          font-size: 8.5pt;
          border: none;
        }
        ul {
          overflow: visible;
          background: none;
        }
        li {
          flex: 1 1 0;
        }
        .surround {
          padding: 5px;
          print-color-adjust: exact;
        }
        .pair {
          height: 40px;
        }
        .name,
        .words,
        .target .figure {
          block-size: auto;
        }
        .figure {
          white-space: normal;
        }
        p {
          padding: 0 4px;
          overflow: visible;
        }
      }
      @media (max-width: 480px) {
        .surround {
          padding: 5px;
        }
        .pair {
          height: 44px;
        }
      }
      @media (max-height: 560px) {
        .words {
          display: none;
        }
        .target .figure {
          block-size: 2lh;
        }
      }
    `,
  ];
}
