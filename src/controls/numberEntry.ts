import {
  html,
  nothing,
  type ReactiveController,
  type ReactiveControllerHost,
  type TemplateResult,
} from "lit";
import { live } from "lit/directives/live.js";
import { keepInside } from "./emit.ts";
import { type NumberRange, numberText, rangeWords, readNumber, stepped, withUnit } from "./numberText.ts";

/** An element with one number and its range. */
interface NumberHost extends ReactiveControllerHost, HTMLElement, NumberRange {
  value: number;
  disabled: boolean;
}

/**
 * The typed side of a number control: keeps what was typed, says what is wrong with it, and hands on only numbers that
 * are allowed. Text that is refused stays in the box until it is mended, Escape is pressed, or the value changes from
 * outside.
 */
export class NumberEntry implements ReactiveController {
  /** what stands in the box when it is not simply the value */
  #text?: string;
  #refusal?: string;
  #lastValue?: number;
  readonly #host: NumberHost;
  readonly #accept: (value: number) => void;

  constructor(host: NumberHost, accept: (value: number) => void) {
    this.#host = host;
    this.#accept = accept;
    host.addController(this);
  }

  /** Whether what was typed is refused. */
  get isRefused(): boolean {
    return this.#refusal !== undefined;
  }

  hostUpdate(): void {
    const { value } = this.#host;
    if (Object.is(value, this.#lastValue)) return;
    this.#lastValue = value;
    if (this.#text === undefined) return;
    const reading = readNumber(this.#text, this.#host);
    if (!("value" in reading && reading.value === value)) this.#text = undefined;
    this.#refusal = undefined;
  }

  /** What is wrong now: with the text, or with a value that was set from outside. */
  get trouble(): string | undefined {
    if (this.#refusal !== undefined) return this.#refusal;
    const { value, label, min, max } = this.#host;
    if (!Number.isFinite(value))
      return `${label} has no value yet. Type a number ${rangeWords(this.#host)}`.trim().concat(".");
    if (value < min || value > max) {
      return `${label}: ${withUnit(value, this.#host)} is outside what is allowed. Type a number ${rangeWords(this.#host)}.`;
    }
    return undefined;
  }

  /** One or more steps, from a button or a key. */
  step(steps: number): void {
    if (this.#host.disabled) return;
    const { value } = this.#host;
    const next = stepped(value, steps, this.#host);
    this.revert();
    if (!Object.is(next, value)) this.#accept(next);
  }

  /** Puts the value back into the box. */
  revert(): void {
    this.#text = undefined;
    this.#refusal = undefined;
    this.#host.requestUpdate();
  }

  readonly #typed = (event: Event): void => {
    keepInside(event);
    this.#text = (event.target as HTMLInputElement).value;
    // A refusal goes away as soon as the text is mended; a new one waits until typing is done.
    if (this.#refusal !== undefined && "value" in readNumber(this.#text, this.#host))
      this.#refusal = undefined;
    this.#host.requestUpdate();
  };

  readonly #finished = (event: Event): void => {
    keepInside(event);
    this.#text = (event.target as HTMLInputElement).value;
    const reading = readNumber(this.#text, this.#host);
    this.#refusal = "trouble" in reading ? reading.trouble : undefined;
    this.#host.requestUpdate();
    if ("value" in reading && !Object.is(reading.value, this.#host.value)) this.#accept(reading.value);
  };

  readonly #pressed = (event: KeyboardEvent): void => {
    const steps = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
    if (steps !== undefined) {
      event.preventDefault();
      this.step(steps);
    } else if (event.key === "Escape" && this.#text !== undefined) {
      event.preventDefault();
      event.stopPropagation();
      this.revert();
    }
  };

  /** The box itself; `name` is its accessible name when no label element points at it. */
  box(name?: string): TemplateResult {
    const host = this.#host;
    const { value, min, max } = host;
    const trouble = this.trouble;
    return html`<input
      id="box"
      class="number"
      type="text"
      inputmode="decimal"
      autocomplete="off"
      role="spinbutton"
      aria-label=${name ?? nothing}
      aria-valuenow=${Number.isFinite(value) ? value : nothing}
      aria-valuetext=${Number.isFinite(value) ? withUnit(value, host) : "no value"}
      aria-valuemin=${Number.isFinite(min) ? min : nothing}
      aria-valuemax=${Number.isFinite(max) ? max : nothing}
      aria-invalid=${trouble === undefined ? "false" : "true"}
      aria-describedby=${trouble === undefined ? nothing : "trouble"}
      ?disabled=${host.disabled}
      .value=${live(this.#text ?? numberText(value, host))}
      @input=${this.#typed}
      @change=${this.#finished}
      @keydown=${this.#pressed}
    />`;
  }
}
