import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { emit } from "../../../src/controls/emit.ts";
import { differenceText, LabText } from "../../../src/controls/numbers.ts";
import { viewStyles } from "../../../src/controls/viewStyles.ts";
import { readLabText } from "../../../src/exchange/readLab.ts";
import { markOf, placeOf } from "../../../src/photo/arrange.ts";
import type { KeptCircle } from "../../../src/photo/keptPhoto.ts";
import type { PhotoReport } from "../model/reading.ts";

/** A circle to be changed. */
export interface CircleEdit {
  readonly id: string;
  readonly patch: Partial<Pick<KeptCircle, "label" | "Lab">>;
}

/**
 * What the circles on a photograph lie on, and what each of them says.
 *
 * @fires choose - CustomEvent<{id: string}>
 * @fires remove - CustomEvent<{id: string}>
 * @fires edit - CustomEvent<CircleEdit>
 */
@customElement("bole-circle-list")
export class CircleList extends LitElement {
  @property({ attribute: false }) circles: readonly KeptCircle[] = [];
  @property() chosen = "";
  /** why a circle is of no use, by its id */
  @property({ attribute: false }) refused: ReadonlyMap<string, readonly string[]> = new Map();
  @property({ attribute: false }) report: PhotoReport | undefined;
  @state() private trouble = "";

  protected override render() {
    return html`<ul aria-label="What the circles lie on">
      ${this.circles.map((circle) => this.#line(circle))}
    </ul>`;
  }

  #line(circle: KeptCircle) {
    const { id, label } = circle;
    const chosen = id === this.chosen;
    return html`<li class=${chosen ? "chosen" : ""}>
      <button class="pick" aria-pressed=${chosen} @click=${() => this.#choose(id)}>
        <span class="mark" aria-hidden="true">${markOf(circle, placeOf(circle, this.circles))}</span> ${label}
      </button>
      <span class="said">${this.#said(circle)}</span>
      <button class="plain" aria-label=${`Remove ${label}`} @click=${() => emit(this, "remove", { id })}>Remove</button>
      ${chosen ? this.#about(circle) : nothing}
    </li>`;
  }

  #said({ id, role, label }: KeptCircle) {
    const reasons = this.refused.get(id);
    if (reasons) return html`<strong>Not used:</strong> ${reasons.join("; ")}.`;
    const part = this.report?.parts.find((one) => one.id === id);
    if (part) return LabText(part.Lab);
    const patch = role === "patch" ? this.report?.residuals.find((one) => one.label === label) : undefined;
    return patch ? `comes back within ΔE00 ${differenceText(patch.deltaE)}` : nothing;
  }

  #about({ id, role, label, Lab }: KeptCircle) {
    return html`<div class="about">
      <bole-text
        label="Name"
        .value=${label}
        .maxLength=${100}
        required
        @change=${(event: CustomEvent<{ value: string }>) => this.#edit(id, { label: event.detail.value })}
      ></bole-text>
      ${
        role === "patch"
          ? html`<div>
              <bole-text
                label="Its known L*, a*, b*"
                .value=${Lab ? Lab.join(" ") : ""}
                hint="Such as 43.2 51.0 28.5"
                @change=${(event: CustomEvent<{ value: string }>) => this.#setLab(id, event.detail.value)}
              ></bole-text>
              <div aria-live="polite">
                ${this.trouble ? html`<div class="trouble"><p>${this.trouble}</p></div>` : nothing}
              </div>
            </div>`
          : nothing
      }
    </div>`;
  }

  #choose(id: string): void {
    this.trouble = "";
    emit(this, "choose", { id });
  }

  #setLab(id: string, text: string): void {
    this.trouble = "";
    try {
      const [{ Lab }] = readLabText(text, "typed text").samples;
      this.#edit(id, { Lab: [Lab[0], Lab[1], Lab[2]] });
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  #edit(id: string, patch: CircleEdit["patch"]): void {
    emit<CircleEdit>(this, "edit", { id, patch });
  }

  static override styles = [
    ...viewStyles,
    css`
      ul {
        list-style: none;
        padding: 0;
        margin: 10px 0;
      }
      li {
        display: grid;
        grid-template-columns: minmax(12rem, auto) 1fr auto;
        align-items: center;
        gap: 0 12px;
        padding: 4px 0;
        border-bottom: 1px solid var(--bole-hairline);
      }
      .pick {
        display: flex;
        align-items: center;
        gap: 10px;
        padding: 0 12px 0 8px;
        text-align: start;
        font-weight: 400;
        border-color: transparent;
        background: transparent;
      }
      .chosen .pick {
        border-color: var(--bole-ink);
        font-weight: 700;
      }
      .mark {
        min-inline-size: 1.8em;
        padding: 0 0.3em;
        border-radius: 0.9em;
        background: #000;
        color: #fff;
        line-height: 1.7;
        text-align: center;
        font-weight: 700;
      }
      .said {
        min-inline-size: 0;
      }
      @media (max-width: 640px) {
        li {
          grid-template-columns: 1fr auto;
        }
        .said {
          grid-area: 2 / 1 / 3 / 3;
          padding-inline-start: 8px;
        }
      }
      .plain {
        font-weight: 400;
        border-color: transparent;
        background: transparent;
        text-decoration: underline;
      }
      .about {
        grid-column: 1 / -1;
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 250px), 1fr));
        gap: 14px 20px;
        padding: 4px 0 12px;
      }
    `,
  ];
}
