import { css, html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { literal, html as staticHtml } from "lit/static-html.js";
import { Control } from "./control.ts";
import { emit, keepInside } from "./emit.ts";
import { controlStyles, notPrinted, tokens } from "./tokens.ts";

/**
 * A line or a paragraph of text. Text that is empty where some is needed, or too long, stays in the box and is not
 * handed on.
 *
 * @fires input - CustomEvent<{value: string}> while typing
 * @fires change - CustomEvent<{value: string}> when typing is over
 */
@customElement("bole-text")
export class BoleText extends Control {
  @property() value = "";
  @property({ type: Boolean }) multiline = false;
  /** height of the paragraph box, lines */
  @property({ type: Number }) rows = 4;
  @property({ type: Boolean }) required = false;
  /** most characters allowed */
  @property({ type: Number, attribute: "max-length" }) maxLength = Number.POSITIVE_INFINITY;

  /** what stands in the box when it is not simply the value */
  @state() private text?: string;
  @state() private trouble?: string;
  #committed?: string;

  override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has("value") || this.text === undefined || this.text === this.value) return;
    this.text = undefined;
    this.trouble = undefined;
  }

  #refusal(text: string): string | undefined {
    if (this.required && text.trim() === "") return `${this.label} is empty. Type at least one character.`;
    if (text.length > this.maxLength) {
      const over = text.length - this.maxLength;
      return `${this.label}: ${text.length} characters typed, at most ${this.maxLength} allowed. Take out ${over}.`;
    }
    return undefined;
  }

  readonly #typed = (event: Event): void => {
    keepInside(event);
    this.text = (event.target as HTMLInputElement).value;
    const refusal = this.#refusal(this.text);
    if (refusal === undefined) {
      this.trouble = undefined;
      this.#committed ??= this.value;
      this.value = this.text;
      emit(this, "input", { value: this.value });
    } else if (this.trouble !== undefined || this.text.length > this.maxLength) this.trouble = refusal;
  };

  readonly #finished = (event: Event): void => {
    keepInside(event);
    this.text = (event.target as HTMLInputElement).value;
    this.trouble = this.#refusal(this.text);
    if (this.trouble !== undefined) return;
    this.value = this.text;
    const before = this.#committed;
    this.#committed = undefined;
    if (before !== this.value) emit(this, "change", { value: this.value });
  };

  readonly #pressed = (event: KeyboardEvent): void => {
    if (event.key !== "Escape" || this.trouble === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    this.#revert();
  };

  readonly #revert = (): void => {
    this.text = undefined;
    this.trouble = undefined;
  };

  override render() {
    const back = html`<button type="button" @click=${this.#revert}>Back to the last text</button>`;
    return html`
      <label for="text">${this.label}</label>
      ${this.#box()} ${this.hintLine()} ${this.troubleLine(this.trouble, back)}
    `;
  }

  #box() {
    const { multiline, required, trouble } = this;
    const tag = multiline ? literal`textarea` : literal`input`;
    return staticHtml`<${tag}
      id="text"
      class=${multiline ? "" : "box"}
      type=${multiline ? nothing : "text"}
      rows=${multiline ? this.rows : nothing}
      autocomplete=${multiline ? nothing : "off"}
      aria-required=${required ? "true" : nothing}
      aria-invalid=${trouble === undefined ? "false" : "true"}
      aria-describedby=${trouble === undefined ? nothing : "trouble"}
      ?disabled=${this.disabled}
      .value=${live(this.text ?? this.value)}
      @input=${this.#typed}
      @change=${this.#finished}
      @keydown=${this.#pressed}
    ></${tag}>`;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      .box,
      textarea {
        inline-size: 100%;
        max-inline-size: 44rem;
        padding: 0 0.7rem;
      }
      textarea {
        padding-block: 0.6rem;
        line-height: 1.45;
        resize: vertical;
      }
    `,
  ];
}
