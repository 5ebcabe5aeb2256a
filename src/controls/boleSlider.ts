import { css, html, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { emit, keepInside } from "./emit.ts";
import { canSwipe, FingerGesture } from "./fingerGesture.ts";
import { NumberControl } from "./numberControl.ts";
import { withUnit } from "./numberText.ts";
import { controlStyles, notPrinted, numberBoxStyles, tokens } from "./tokens.ts";

/** The disc seen in the thumb; each engine wants a rule of its own for it. */
const disc = css`
  border: 0;
  background: radial-gradient(
    circle,
    var(--bole-ink) 0 5px,
    var(--bole-sheet) 6px 13px,
    var(--bole-ink) 14px 16px,
    transparent 17px
  );
`;

/**
 * A slider with a box to type in beside it. The native range input brings arrows, Page Up and Down, Home and End.
 *
 * @fires input - CustomEvent<{value: number}> while the slider moves, and once for a typed value
 * @fires change - CustomEvent<{value: number}> when a move or an entry is over
 */
@customElement("bole-slider")
export class BoleSlider extends NumberControl {
  override min = 0;
  override max = 100;
  /** The explanation stands beside the name where there is room, not under the slider. */
  @property({ type: Boolean, reflect: true, attribute: "hint-beside" }) hintBeside = false;

  protected override taken(value: number): void {
    emit(this, "input", { value });
    emit(this, "change", { value });
  }

  readonly #gesture = new FingerGesture();
  /** the value when the gesture began, and where a finger put the thumb while it may still be a swipe that scrolls */
  #before = 0;
  #held?: number;

  get #range(): HTMLInputElement {
    return this.renderRoot.querySelector<HTMLInputElement>("#range")!;
  }

  readonly #pressed = (event: PointerEvent): void => {
    if (!canSwipe(event) || this.#gesture.isUnderWay) return;
    this.#gesture.press(event);
    this.#before = this.value;
    this.#held = undefined;
  };

  readonly #dragged = (event: PointerEvent): void => {
    if (this.#gesture.isUnderWay && this.#gesture.move(event) === "drag") this.#takeHeld();
  };

  readonly #released = (event: PointerEvent): void => {
    const { isTap } = this.#gesture.release(event);
    if (isTap && this.#takeHeld()) emit(this, "change", { value: this.value });
    this.#held = undefined;
  };

  /** The page scrolls instead: what the finger has set goes back. */
  readonly #cancelled = (event: PointerEvent): void => {
    const { meaning } = this.#gesture.release(event);
    this.#held = undefined;
    this.#show(this.#before);
    if (meaning !== "drag" || this.value === this.#before) return;
    this.value = this.#before;
    emit(this, "input", { value: this.value });
    emit(this, "change", { value: this.value });
  };

  #takeHeld(): boolean {
    const held = this.#held;
    if (held === undefined) return false;
    this.#held = undefined;
    this.#show(held);
    this.#take(held);
    return true;
  }

  #take(value: number): void {
    if (value === this.value) return;
    this.value = value;
    this.entry.revert();
    emit(this, "input", { value });
  }

  #show(value: number): void {
    this.#range.value = `${value}`;
  }

  readonly #moved = (event: Event): void => {
    keepInside(event);
    const value = Number((event.target as HTMLInputElement).value);
    if (this.#gesture.isUnderWay && this.#gesture.meaning !== "drag") {
      // The browser moves the thumb as soon as a finger is down; it may have come to scroll.
      if (this.#gesture.meaning === "open") this.#held = value;
      this.#show(this.value);
    } else this.#take(value);
  };

  readonly #settled = (event: Event): void => {
    keepInside(event);
    if (this.#gesture.isUnderWay && this.#gesture.meaning !== "drag") return;
    emit(this, "change", { value: this.value });
  };

  override render() {
    return html`
      <div class="names"><label for="range">${this.label}</label>${this.hintBeside ? this.hintLine() : nothing}</div>
      <div class="row">
        <input
          id="range"
          type="range"
          min=${this.min}
          max=${this.max}
          step=${this.step}
          aria-valuetext=${Number.isFinite(this.value) ? withUnit(this.value, this) : "no value"}
          ?disabled=${this.disabled}
          .value=${live(`${this.value}`)}
          @pointerdown=${this.#pressed}
          @pointermove=${this.#dragged}
          @pointerup=${this.#released}
          @pointercancel=${this.#cancelled}
          @input=${this.#moved}
          @change=${this.#settled}
        />
        ${this.box(`${this.label}, typed`)}
      </div>
      ${this.hintBeside ? this.troubleLines() : this.lines()}
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    numberBoxStyles,
    css`
      .names {
        display: flex;
        flex-wrap: wrap;
        gap: 0 0.75rem;
        align-items: baseline;
      }
      :host([hint-beside]) .row {
        margin-block-start: -4px;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0 0.75rem;
      }
      #range {
        -webkit-appearance: none;
        appearance: none;
        flex: 1 1 8rem;
        min-inline-size: 0;
        block-size: var(--bole-target);
        margin: 0;
        background: transparent;
        cursor: pointer;
        touch-action: pan-y;
        border-radius: var(--bole-radius);
      }
      #range::-webkit-slider-runnable-track {
        block-size: 8px;
        border-radius: 4px;
        background: var(--bole-hairline);
        border: 1px solid var(--bole-line);
      }
      #range::-moz-range-track {
        block-size: 8px;
        border-radius: 4px;
        background: var(--bole-hairline);
        border: 1px solid var(--bole-line);
      }
      /* The whole 48 px square takes the finger; the disc seen in it is smaller. */
      #range::-webkit-slider-thumb {
        -webkit-appearance: none;
        inline-size: 48px;
        block-size: 48px;
        margin-block-start: -21px;
        ${disc}
      }
      #range::-moz-range-thumb {
        inline-size: 48px;
        block-size: 48px;
        ${disc}
      }
      /* Gradients are left out there, and with them the disc. */
      @media (forced-colors: active) {
        #range {
          forced-color-adjust: none;
          --bole-ink: CanvasText;
          --bole-line: CanvasText;
          --bole-sheet: Canvas;
          --bole-hairline: Canvas;
        }
      }
      #range:disabled {
        opacity: 0.6;
        cursor: default;
      }
      .box {
        flex: none;
        inline-size: 7.5rem;
        min-inline-size: min-content;
      }
    `,
  ];
}
