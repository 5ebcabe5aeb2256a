import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { emit, keepInside } from "./emit.ts";
import { controlStyles, tokens } from "./tokens.ts";

/**
 * A line or a paragraph of text. Text that is empty where some is needed, or too long, stays in the box and is not
 * handed on.
 *
 * @fires input - CustomEvent<{value: string}> while typing
 * @fires change - CustomEvent<{value: string}> when typing is over
 */
@customElement("bole-text")
export class BoleText extends LitElement {
  static override shadowRootOptions: ShadowRootInit = {
    ...LitElement.shadowRootOptions,
    delegatesFocus: true,
  };

  @property() label = "";
  @property() value = "";
  @property({ type: Boolean }) multiline = false;
  /** height of the paragraph box, lines */
  @property({ type: Number }) rows = 4;
  @property({ type: Boolean }) required = false;
  /** most characters allowed */
  @property({ type: Number, attribute: "max-length" }) maxLength = Number.POSITIVE_INFINITY;
  @property() hint = "";
  @property({ type: Boolean }) disabled = false;

  /** what stands in the box when it is not simply the value */
  @state() private text?: string;
  @state() private trouble?: string;
  private committed?: string;

  override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has("value") || this.text === undefined || this.text === this.value) return;
    this.text = undefined;
    this.trouble = undefined;
  }

  private refusal(text: string): string | undefined {
    if (this.required && text.trim() === "") return `${this.label} is empty. Type at least one character.`;
    if (text.length > this.maxLength) {
      const over = text.length - this.maxLength;
      return `${this.label}: ${text.length} characters typed, at most ${this.maxLength} allowed. Take out ${over}.`;
    }
    return undefined;
  }

  private readonly typed = (event: Event): void => {
    keepInside(event);
    this.text = (event.target as HTMLInputElement).value;
    const refusal = this.refusal(this.text);
    if (refusal === undefined) {
      this.trouble = undefined;
      this.committed ??= this.value;
      this.value = this.text;
      emit(this, "input", { value: this.value });
    } else if (this.trouble !== undefined || this.text.length > this.maxLength) this.trouble = refusal;
  };

  private readonly finished = (event: Event): void => {
    keepInside(event);
    this.text = (event.target as HTMLInputElement).value;
    this.trouble = this.refusal(this.text);
    if (this.trouble !== undefined) return;
    this.value = this.text;
    const before = this.committed;
    this.committed = undefined;
    if (before !== this.value) emit(this, "change", { value: this.value });
  };

  private readonly pressed = (event: KeyboardEvent): void => {
    if (event.key !== "Escape" || this.trouble === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    this.revert();
  };

  private revert(): void {
    this.text = undefined;
    this.trouble = undefined;
  }

  override render() {
    return html`
      <label for="text">${this.label}</label>
      ${this.multiline ? this.paragraph() : this.line()}
      ${this.hint ? html`<p class="hint">${this.hint}</p>` : nothing}
      <div aria-live="polite">
        ${
          this.trouble === undefined
            ? nothing
            : html`<div class="trouble">
                <p id="trouble"><strong>Check this:</strong> ${this.trouble}</p>
                <button type="button" @click=${this.revert}>Back to the last text</button>
              </div>`
        }
      </div>
    `;
  }

  private line() {
    return html`<input
      id="text"
      class="box"
      type="text"
      autocomplete="off"
      aria-required=${this.required ? "true" : nothing}
      aria-invalid=${this.trouble === undefined ? "false" : "true"}
      aria-describedby=${this.trouble === undefined ? nothing : "trouble"}
      ?disabled=${this.disabled}
      .value=${live(this.text ?? this.value)}
      @input=${this.typed}
      @change=${this.finished}
      @keydown=${this.pressed}
    />`;
  }

  private paragraph() {
    return html`<textarea
      id="text"
      rows=${this.rows}
      aria-required=${this.required ? "true" : nothing}
      aria-invalid=${this.trouble === undefined ? "false" : "true"}
      aria-describedby=${this.trouble === undefined ? nothing : "trouble"}
      ?disabled=${this.disabled}
      .value=${live(this.text ?? this.value)}
      @input=${this.typed}
      @change=${this.finished}
      @keydown=${this.pressed}
    ></textarea>`;
  }

  static override styles = [
    tokens,
    controlStyles,
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
