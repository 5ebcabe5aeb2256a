import { css, html, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { Control } from "./control.ts";
import { emit, keepInside } from "./emit.ts";
import { controlStyles, notPrinted, tokens } from "./tokens.ts";

/**
 * Something that is on or off. Its state shows as a word and by the place of the knob, not by colour.
 *
 * @fires change - CustomEvent<{value: boolean}>
 */
@customElement("bole-toggle")
export class BoleToggle extends Control {
  @property({ type: Boolean }) value = false;
  /** words for the two states */
  @property({ attribute: "on-text" }) onText = "on";
  @property({ attribute: "off-text" }) offText = "off";

  readonly #switched = (event: Event): void => {
    keepInside(event);
    this.value = (event.target as HTMLInputElement).checked;
    emit(this, "change", { value: this.value });
  };

  override render() {
    return html`
      <label class="row">
        <input
          type="checkbox"
          role="switch"
          aria-label=${this.label}
          aria-describedby=${this.hint ? "hint" : nothing}
          ?disabled=${this.disabled}
          .checked=${live(this.value)}
          @input=${keepInside}
          @change=${this.#switched}
        />
        <span>${this.label}</span>
        <span class="state" aria-hidden="true">${this.value ? this.onText : this.offText}</span>
      </label>
      ${this.hintLine()}
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      .row {
        display: flex;
        align-items: center;
        gap: 0.75rem;
        min-block-size: var(--bole-target);
        margin: 0;
        cursor: pointer;
        inline-size: fit-content;
      }
      .state {
        font-weight: 400;
        color: var(--bole-ink-soft);
      }
      input {
        -webkit-appearance: none;
        appearance: none;
        flex: none;
        inline-size: 64px;
        block-size: 36px;
        margin: 0;
        border: 2px solid var(--bole-line);
        border-radius: 18px;
        background: var(--bole-sheet);
        cursor: inherit;
        position: relative;
      }
      input::before {
        content: "";
        position: absolute;
        inset-block-start: 4px;
        inset-inline-start: 4px;
        inline-size: 24px;
        block-size: 24px;
        border-radius: 12px;
        border: 2px solid var(--bole-line);
        background: var(--bole-sheet);
        transition: translate var(--bole-motion);
      }
      input:checked {
        background: var(--bole-ink);
        border-color: var(--bole-ink);
      }
      input:checked::before {
        translate: 28px 0;
        border-color: var(--bole-sheet);
      }
      input:disabled {
        opacity: 0.6;
      }
      @media (forced-colors: active) {
        input {
          -webkit-appearance: auto;
          appearance: auto;
        }
        input::before {
          display: none;
        }
      }
    `,
  ];
}
