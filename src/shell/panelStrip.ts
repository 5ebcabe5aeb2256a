import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { displayColour } from "../colour/display.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import { differenceText } from "../controls/numbers.ts";
import { tokens, unseen } from "../controls/tokens.ts";
import type { ComparedStep, Coverage, CoveragePart } from "../ports/coverage.ts";

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

  /** Shown larger, to be judged. */
  @property({ type: Boolean, reflect: true }) large = false;

  /** The target and the part that misses most alone, in one line. */
  @property({ type: Boolean, reflect: true }) brief = false;

  #inBrief({ targetSeen, parts, worst, viewing }: Coverage) {
    const { substrate, painted } = parts[worst];
    return html`<div class="line">
      <div class="surround">
        <div class="pair">
          ${targetSeen ? html`<span class="half" .style=${`background:${this.#css(targetSeen.XYZ).css}`}></span>` : nothing}
          <span class="half" .style=${`background:${this.#css(painted.XYZ).css}`}></span>
        </div>
      </div>
      <span>${targetSeen ? "Target, " : nothing}${substrate.name}${painted.difference === undefined ? nothing : html`: <strong>${viewing.formula} ${differenceText(painted.difference)}</strong>`}</span>
    </div>`;
  }

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
    if (this.brief) return this.#inBrief(coverage);
    const { targetSeen, parts, basecoat, worst } = coverage;
    // The part that misses most comes first, with and without basecoat: a narrow strip shows at least these.
    const order = [parts[worst], ...parts.filter((_, index) => index !== worst)];
    const pair = (part: CoveragePart) => [
      html`<li>${this.#compared(part.substrate.name, part.painted)}</li>`,
      basecoat ? html`<li>${this.#compared(`${part.substrate.name}, no basecoat`, part.bare)}</li>` : nothing,
    ];
    return html`<ul tabindex="0" aria-label="Target and parts">
      ${targetSeen ? html`<li class="target">${this.#panel(this.#css(targetSeen.XYZ), "", "Target", targetSeen.label, "")}</li>` : nothing}
      ${order.map(pair)}
      <li class="size">
        <button aria-pressed=${this.large} @click=${() => (this.large = !this.large)}>${this.large ? "Smaller" : "Larger"}</button>
      </li>
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
        font-size: 15px;
        line-height: 1.2;
        color: var(--bole-ink);
        background: var(--bole-surround);
      }
      :host([stale]) ul {
        opacity: 0.5;
      }
      ul {
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(112px, 1fr));
        gap: 1px;
        margin: 0;
        padding: 0;
        list-style: none;
        /* Words for screen readers alone, placed within, must not widen the page. */
        position: relative;
        background: var(--bole-surround);
      }
      :host([large]) ul {
        grid-template-columns: repeat(auto-fill, minmax(200px, 1fr));
      }
      li {
        background: var(--bole-paper);
        min-width: 0;
        padding-block-end: 4px;
      }
      .surround {
        background: var(--bole-surround);
        padding: 6px 5px;
      }
      .pair {
        position: relative;
        display: flex;
        height: 48px;
      }
      :host([large]) .pair {
        height: 190px;
      }
      .half {
        flex: 1;
        min-width: 48px;
        print-color-adjust: exact;
        forced-color-adjust: none;
      }
      p {
        margin: 0;
        padding: 0 6px;
        overflow-wrap: break-word;
        hyphens: manual;
      }
      /* Every line has its room, so that the strip is as tall as it is whatever the words are. */
      .name {
        margin-top: 4px;
        min-block-size: 2lh;
      }
      .figure {
        font-weight: 700;
        font-variant-numeric: tabular-nums;
      }
      .words {
        min-block-size: 3lh;
      }
      .target .name,
      .target .words {
        min-block-size: 0;
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
      :host([brief]) {
        flex: 1;
        background: none;
      }
      .line {
        display: flex;
        align-items: center;
        gap: 12px;
      }
      .line .surround {
        padding: 4px;
      }
      .empty {
        padding: 12px 16px;
        background: var(--bole-paper);
      }
      .size {
        display: grid;
        place-items: center;
      }
      .size button {
        font: inherit;
        color: inherit;
        min-block-size: 44px;
        min-inline-size: 44px;
        border: none;
        background: none;
        text-decoration: underline;
        text-underline-offset: 3px;
        cursor: pointer;
      }
      .size button:focus-visible,
      ul:focus-visible {
        outline: 3px solid var(--bole-focus);
        outline-offset: -3px;
      }
      @media (max-width: 1099px) {
        ul {
          display: flex;
          overflow-x: auto;
          scrollbar-width: thin;
        }
        li {
          flex: 1 0 118px;
          max-width: 200px;
        }
        :host([large]) li {
          flex-basis: 220px;
          max-width: none;
        }
      }
      @media (max-width: 599px) {
        :host {
          font-size: 14px;
        }
        li {
          flex: 0 0 114px;
        }
        .surround {
          padding: 4px;
        }
        p {
          padding: 0 4px;
        }
      }
      @media print {
        .size {
          display: none;
        }
      }
    `,
  ];
}
