import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { displayColour } from "../colour/display.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import { differenceText } from "../controls/numbers.ts";
import { tokens, unseen } from "../controls/tokens.ts";
import type { ComparedStep, Coverage, CoveragePart } from "../ports/coverage.ts";
import { keepPanels } from "./panelPictures.ts";

const keepAfterMs = 500;
/** More parts than this stand in one line each where the panels head a column: room for the curves below them. */
const fewParts = 3;
const isColumn = matchMedia("(min-width: 1100px)");

/**
 * Simulated panels that stay in sight: the target, each part as painted beside it, and each part without basecoat.
 */
@customElement("bole-panels")
export class PanelStrip extends LitElement {
  @property({ attribute: false }) coverage: Coverage | undefined;
  /** True while the coverage cell is in error and its last value is shown. */
  @property({ type: Boolean, reflect: true }) stale = false;
  /** How many panels are still to come: their room is kept, so that nothing moves when they are there. */
  @property({ type: Number }) awaited = 0;

  /** Shown larger, to be judged. */
  @property({ type: Boolean, reflect: true }) large = false;

  /** The target and the part that misses most alone, in one line. */
  @property({ type: Boolean, reflect: true }) brief = false;

  #keeping: ReturnType<typeof setTimeout> | undefined;

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearTimeout(this.#keeping);
    isColumn.removeEventListener("change", this.#lookAgain);
  }

  readonly #lookAgain = (): void => this.requestUpdate();

  override connectedCallback(): void {
    super.connectedCallback();
    isColumn.addEventListener("change", this.#lookAgain);
  }

  /** The panels are remembered for the list of notebooks, when nothing moves any more. */
  protected override updated(): void {
    clearTimeout(this.#keeping);
    const { coverage } = this;
    const notebook = new URLSearchParams(location.search).get("notebook");
    if (!coverage || !notebook || this.stale) return;
    this.#keeping = setTimeout(() => {
      const shown = [coverage.targetSeen, ...coverage.parts.map(({ painted }) => painted)];
      keepPanels(
        notebook,
        shown.flatMap((one) => (one ? [this.#css(one.XYZ).css] : [])),
      );
    }, keepAfterMs);
  }

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
    const { coverage } = this;
    if (!coverage) {
      if (this.awaited) {
        const empty = { css: "none", inGamut: true };
        const places = Array.from({ length: this.awaited }, (_, at) => (at === 0 ? "Being computed…" : ""));
        return html`<ul aria-busy="true">${places.map((words, at) => html`<li class=${at === 0 ? "target" : ""}>${this.#panel(empty, "", "", words, "")}</li>`)}</ul>`;
      }
      return html`<p class="empty">Panels appear here once a coverage cell has a recipe and parts.</p>`;
    }
    if (this.brief) return this.#inBrief(coverage);
    const { targetSeen, parts, basecoat, worst } = coverage;
    // The part that misses most comes first, with and without basecoat: a narrow strip shows at least these.
    const order = [parts[worst], ...parts.filter((_, index) => index !== worst)];
    const inLines = parts.length > fewParts && isColumn.matches && !this.large && targetSeen !== undefined;
    this.toggleAttribute("lines", inLines);
    const pair = (part: CoveragePart) => [
      html`<li>${this.#compared(part.substrate.name, part.painted)}</li>`,
      basecoat
        ? html`<li>${this.#compared(html`<span class="of">${part.substrate.name}, </span>no basecoat`, part.bare)}</li>`
        : nothing,
    ];
    return html`<ul tabindex="0" aria-label="Target and parts">
      <li class="target">
        ${targetSeen ? this.#panel(this.#css(targetSeen.XYZ), "", "Target", targetSeen.label, "") : nothing}
        <button class="size" aria-pressed=${this.large} @click=${() => (this.large = !this.large)}>${this.large ? "Smaller" : "Larger"}</button>
      </li>
      ${order.map((part) => (inLines ? html`<li>${this.#line(part, basecoat !== undefined)}</li>` : pair(part)))}
    </ul>`;
  }

  #css(XYZ: ArrayLike<number>) {
    const { viewing } = this.coverage!;
    return displayColour(XYZ, viewing.weights.white, viewing.gamut);
  }

  #compared(name: unknown, step: ComparedStep) {
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

  /** Target, part, and part without basecoat in one: the colours side by side, the words of both beside them. */
  #line({ substrate, painted, bare }: CoveragePart, withBasecoat: boolean) {
    const { targetSeen, viewing } = this.coverage!;
    const shown = [targetSeen!, painted, ...(withBasecoat ? [bare] : [])].map(({ XYZ }) => this.#css(XYZ));
    const beyond = shown.slice(1).some(({ inGamut }) => !inGamut);
    const figure = ({ difference = 0 }: ComparedStep) =>
      html`<strong class="figure">${viewing.formula} ${differenceText(difference)}${difference <= viewing.tolerance ? html` ✓<span class="unseen"> passes</span>` : nothing}</strong>`;
    return html`
      <div class="surround">
        <div class="pair">
          ${shown.map(({ css }) => html`<span class="half" .style=${`background:${css}`}></span>`)}
        </div>
      </div>
      <div class="caption">
        <p>${substrate.name} ${figure(painted)} ${tradeWords(targetSeen!.Lab, painted.Lab).short}</p>
        ${withBasecoat ? html`<p>no basecoat ${figure(bare)}</p>` : nothing}
        ${beyond ? html`<p>beyond this screen</p>` : nothing}
      </div>
    `;
  }

  #panel(
    shown: { css: string; inGamut: boolean },
    target: string,
    name: unknown,
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
      <div class="caption">
        <p class="name">${name}</p>
        <p class="figure">${figure}</p>
        <p class="words">${words}</p>
      </div>
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
        grid-template-columns: 1fr 1fr;
        gap: 1px;
        margin: 0;
        padding: 0;
        list-style: none;
        /* Words for screen readers alone, placed within, must not widen the page. */
        position: relative;
        background: var(--bole-hairline);
      }
      li {
        display: flex;
        background: var(--bole-paper);
        min-width: 0;
      }
      .surround {
        flex: none;
        background: var(--bole-surround);
        padding: 7px;
      }
      .pair {
        position: relative;
        display: flex;
        height: 100%;
        min-height: 50px;
        inline-size: 104px;
      }
      :host([large]) .pair {
        height: 170px;
        inline-size: auto;
      }
      :host([large]) li {
        flex-direction: column;
      }
      .half {
        flex: 1;
        min-width: 48px;
        print-color-adjust: exact;
        forced-color-adjust: none;
      }
      /* Every line has its room, so that the strip is as tall as it is whatever the words are. */
      .caption {
        flex: 1;
        min-width: 0;
        min-block-size: 4lh;
        padding: 3px 8px;
      }
      p {
        margin: 0;
        overflow-wrap: break-word;
        hyphens: manual;
      }
      .figure {
        font-weight: 700;
        font-variant-numeric: tabular-nums;
      }
      .target .caption {
        min-block-size: 2lh;
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
        align-self: center;
        font: inherit;
        color: inherit;
        min-block-size: 44px;
        padding: 0 10px;
        border: none;
        background: none;
        text-decoration: underline;
        text-underline-offset: 3px;
        cursor: pointer;
      }
      .size:focus-visible,
      ul:focus-visible {
        outline: 3px solid var(--bole-focus);
        outline-offset: -3px;
      }
      /* Each part stands with and without its basecoat side by side or one over the other: once is whose it is enough. */
      .of {
        position: absolute;
        clip-path: inset(50%);
        inline-size: 1px;
        overflow: hidden;
        white-space: nowrap;
      }
      :host([lines]) .pair {
        inline-size: 144px;
        min-height: 48px;
      }
      :host([lines]) .surround {
        padding: 3px;
      }
      :host([lines]) .target .pair {
        inline-size: 144px;
      }
      :host([lines]) .caption {
        padding-block: 1px;
        min-block-size: 3lh;
        align-content: center;
      }
      @media (min-width: 1100px) {
        .target,
        :host([lines]) li {
          grid-column: 1 / -1;
        }
      }
      @media (max-width: 1399px) {
        :host {
          font-size: 14px;
        }
        .surround {
          padding: 5px;
        }
        .pair {
          inline-size: 98px;
        }
        .caption {
          padding: 2px 6px;
        }
      }
      /* Sideways: what is next shows its edge. */
      @media (max-width: 1099px) {
        ul {
          grid-auto-flow: column;
          grid-template: auto auto / 112px;
          grid-auto-columns: minmax(236px, 1fr);
          overflow-x: auto;
          scrollbar-width: thin;
        }
        .target {
          grid-row: 1 / -1;
          flex-direction: column;
        }
        .target .pair {
          inline-size: auto;
        }
        .size {
          min-block-size: 30px;
        }
      }
      @media (max-width: 599px) {
        .size {
          display: none;
        }
      }
      @media print {
        :host {
          font-size: 8.5pt;
          background: none;
        }
        .size {
          display: none;
        }
        ul {
          display: flex;
          overflow: visible;
          background: none;
        }
        li {
          flex: 1 1 0;
          flex-direction: column;
          max-width: 200px;
        }
        .of {
          position: static;
          clip-path: none;
          white-space: normal;
        }
        .surround {
          padding: 5px;
          print-color-adjust: exact;
        }
        .pair {
          min-height: 0;
          height: 40px;
          inline-size: auto;
        }
        .half {
          min-width: 0;
        }
        .caption {
          min-block-size: 0;
          padding: 0 4px;
        }
      }
    `,
  ];
}
