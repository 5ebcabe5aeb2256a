import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { emit } from "./emit.ts";
import { NumberControl } from "./numberControl.ts";
import { controlStyles, notPrinted, numberBoxStyles, tokens } from "./tokens.ts";

/** Wait before a held button repeats, and between repeats, ms. */
const holdDelay = 450;
const holdInterval = 120;

/**
 * A number with its unit, a box to type in and large − and + buttons; a held button repeats.
 *
 * @fires change - CustomEvent<{value: number}> when an allowed value was typed or stepped to
 */
@customElement("bole-number")
export class BoleNumber extends NumberControl {
  #timer?: ReturnType<typeof setTimeout>;
  #repeated = false;

  protected override taken(value: number): void {
    emit(this, "change", { value });
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#release();
  }

  #hold(steps: number): void {
    this.#release();
    this.#repeated = false;
    const repeat = () => {
      this.#repeated = true;
      this.entry.step(steps);
      this.#timer = setTimeout(repeat, holdInterval);
    };
    this.#timer = setTimeout(repeat, holdDelay);
  }

  #release(): void {
    clearTimeout(this.#timer);
  }

  #clicked(steps: number): void {
    this.#release();
    if (!this.#repeated) this.entry.step(steps);
    this.#repeated = false;
  }

  #button(steps: 1 | -1) {
    const atLimit = steps < 0 ? this.value <= this.min : this.value >= this.max;
    return html`<button
      type="button"
      class="step"
      tabindex="-1"
      aria-label="${this.label}: ${steps < 0 ? "less" : "more"}"
      aria-disabled=${atLimit ? "true" : nothing}
      ?disabled=${this.disabled}
      @pointerdown=${() => this.#hold(steps)}
      @pointerup=${() => this.#release()}
      @pointerleave=${() => this.#release()}
      @pointercancel=${() => this.#release()}
      @contextmenu=${(event: Event) => event.preventDefault()}
      @click=${() => this.#clicked(steps)}
    >
      <svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true">
        <path d=${steps < 0 ? "M3 10h14" : "M3 10h14M10 3v14"} stroke="currentColor" stroke-width="3" />
      </svg>
    </button>`;
  }

  override render() {
    return html`
      <label for="box">${this.label}</label>
      <div class="row">
        ${this.#button(-1)}
        ${this.box()}
        ${this.#button(1)}
      </div>
      ${this.lines()}
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    numberBoxStyles,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 0.4rem;
        max-inline-size: 20rem;
      }
      .step {
        flex: none;
        inline-size: var(--bole-target);
        padding: 0;
        display: grid;
        place-items: center;
        user-select: none;
        -webkit-user-select: none;
      }
      .box {
        flex: 1 1 6rem;
        min-inline-size: min-content;
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-number": BoleNumber;
  }
}
