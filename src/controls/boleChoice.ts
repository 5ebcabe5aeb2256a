import { css, html, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { Control } from "./control.ts";
import { emit, keepInside } from "./emit.ts";
import { controlStyles, notPrinted, tokens } from "./tokens.ts";

export interface ChoiceOption {
  value: string;
  label: string;
}

/**
 * One of several options, in a native list. A value that is not among the options is shown as such, never swapped
 * silently for the first one.
 *
 * @fires change - CustomEvent<{value: string}>
 */
@customElement("bole-choice")
export class BoleChoice extends Control {
  @property({ attribute: false }) options: readonly ChoiceOption[] = [];
  @property() value = "";

  readonly #chosen = (event: Event): void => {
    keepInside(event);
    this.value = (event.target as HTMLSelectElement).value;
    emit(this, "change", { value: this.value });
  };

  override render() {
    const known = this.options.some((option) => option.value === this.value);
    const trouble = known || this.value === "" ? undefined : this.#trouble();
    return html`
      <label for="choice">${this.label}</label>
      <select
        id="choice"
        aria-invalid=${trouble ? "true" : "false"}
        aria-describedby=${trouble ? "trouble" : nothing}
        ?disabled=${this.disabled}
        .value=${live(this.value)}
        @input=${keepInside}
        @change=${this.#chosen}
      >
        ${
          known
            ? nothing
            : html`<option value=${this.value} selected disabled>
                ${this.value === "" ? "Choose …" : `${this.value} (not available)`}
              </option>`
        }
        ${this.options.map(
          (option) =>
            html`<option value=${option.value} ?selected=${option.value === this.value}>${option.label}</option>`,
        )}
      </select>
      ${this.hintLine()} ${this.troubleLine(trouble)}
    `;
  }

  #trouble(): string {
    const names = this.options.map((option) => option.label);
    const some = names.length > 4 ? `${names.slice(0, 4).join(", ")} …` : names.join(", ");
    const way = names.length === 0 ? "There is nothing to choose from yet." : `Choose one of: ${some}.`;
    return `${this.label}: “${this.value}” is not available. ${way}`.replace("… .", "…");
  }

  override updated(): void {
    // Options that arrive together with the value exist only now.
    const select = this.renderRoot.querySelector("select");
    if (select && select.value !== this.value) select.value = this.value;
  }

  static override styles = [
    tokens,
    controlStyles,
    notPrinted,
    css`
      select {
        inline-size: 100%;
        max-inline-size: 32rem;
        padding: 0 0.6rem;
        text-overflow: ellipsis;
      }
    `,
  ];
}
