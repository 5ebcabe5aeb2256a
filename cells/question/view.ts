import { css, html, nothing, type PropertyValues } from "lit";
import { customElement, state } from "lit/decorators.js";
import { CellView } from "../../src/controls/cellView.ts";
import { explainTerms } from "../../src/controls/explainTerms.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { quantityText } from "../../src/graph/askedQuantity.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { glossary } from "../../src/tables/glossary.ts";
import { type AskedQuestion, judge, judgementWords, question } from "./define.ts";
import { editAnswers } from "./view/answerEditor.ts";

const tag = "bole-view-question";
export default tag;

@customElement(tag)
export class QuestionView extends CellView<AskedQuestion, ParameterValues<typeof question.parameters>> {
  @state() private editing = false;
  #toVerdict = false;

  protected override render() {
    const { value } = this;
    const { revealed, told } = this.parameters;
    return html`
      ${value ? html`<div class="ask">${paragraphs((revealed && told?.text) || value.text)}</div>` : nothing}
      ${value ? (revealed ? this.#revealed(value) : this.#asking(value)) : nothing}
      ${this.#editor(value)}
    `;
  }

  protected override updated(changed: PropertyValues<this>): void {
    super.updated(changed);
    if (!this.#toVerdict || !this.parameters.revealed) return;
    this.#toVerdict = false;
    this.renderRoot.querySelector<HTMLElement>(".verdict")?.focus({ preventScroll: true });
  }

  #asking(value: AskedQuestion) {
    const { prediction } = this.parameters;
    const ready = prediction !== null;
    return html`
      ${value.choices.length > 0 ? this.#choices(value) : this.#guess(value)}
      <div class="row">
        <button class="reveal" aria-disabled=${ready ? nothing : "true"} @click=${() => ready && this.#reveal(value)}>
          Show the answer
        </button>
        ${
          ready
            ? nothing
            : html`<button class="skip" @click=${() => this.#reveal(value)}>Show it without a guess</button>`
        }
      </div>
      ${ready ? nothing : html`<p class="soft">Predict first: a wrong guess teaches more than none.</p>`}
    `;
  }

  #guess({ answer }: AskedQuestion) {
    const { prediction, guessFrom, guessTo } = this.parameters;
    const step = 10 ** -Math.min(answer.digits, 2);
    const predict = (event: CustomEvent<{ value: number }>) => this.set({ prediction: event.detail.value });
    return html`<bole-slider
      .label=${prediction === null ? "Your prediction: move the slider or type" : "Your prediction"}
      .unit=${answer.unit}
      .value=${prediction ?? guessFrom}
      .min=${guessFrom}
      .max=${guessTo}
      .step=${step}
      .digits=${answer.digits === 0 ? 0 : undefined}
      @change=${predict}
    ></bole-slider>`;
  }

  #choices({ choices }: AskedQuestion) {
    return html`<fieldset>
      <legend class="unseen">Your prediction</legend>
      ${choices.map(
        ({ label }, index) => html`<label class="choice">
          <input
            type="radio"
            name="prediction"
            .checked=${this.parameters.prediction === index}
            @change=${() => this.set({ prediction: index })}
          />
          <span>${label}</span>
        </label>`,
      )}
    </fieldset>`;
  }

  #reveal(value: AskedQuestion): void {
    this.#toVerdict = true;
    this.set({
      revealed: true,
      seen: (value.choices.length > 0 ? value.right : value.answer.value) ?? null,
      home: value.moves?.value ?? null,
      told: { text: value.text, after: value.after },
    });
  }

  #revealed(value: AskedQuestion) {
    const { prediction, seen, told } = this.parameters;
    const after = told?.after ?? value.after;
    const verdict = judge(value, prediction, seen);
    const { answer, choices } = value;
    const then = choices.length > 0 ? "" : quantityText({ ...answer, value: seen ?? undefined });
    return html`
      <div class="verdict" tabindex="-1" role="status">
        ${
          choices.length > 0
            ? html`<p>
                <strong>${judgementWords[verdict]}</strong>
                ${seen === null ? "None of the answers fits." : html`It is: <strong>${choices[seen]?.label}</strong>.`}
                ${prediction === null || verdict === "right" ? nothing : html`You said: ${choices[prediction]?.label}.`}
              </p>`
            : html`<p>
                <strong>${judgementWords[verdict]}</strong> Computed: <strong>${then}</strong>.
                ${prediction === null ? nothing : html`You said: ${quantityText({ ...answer, value: prediction })}.`}
              </p>`
        }
      </div>
      ${this.#numbers(value)}
      ${after ? html`<div class="after">${paragraphs(after)}</div>` : nothing} ${this.#mover(value)}
      <div class="row">
        <button
          @click=${() => this.set({ revealed: false, prediction: null, seen: null, home: null, told: null })}
        >Ask me again</button>
      </div>
    `;
  }

  /** Behind each answer its computed number, as it is now. */
  #numbers({ choices, answer, right, moves }: AskedQuestion) {
    if (choices.length === 0) return nothing;
    if (choices.every(({ shown }) => shown === undefined)) {
      // With something to move, the line there tells the number.
      if (moves) return nothing;
      return html`<p>Computed: ${answer.label}, <strong>${quantityText(answer)}</strong>.</p>`;
    }
    return html`<ul class="numbers">
      ${choices.map(
        ({ label, shown }, index) => html`<li>
          <span>${label}</span> <strong>${shown}</strong> ${index === right ? html`<span>✓</span>` : nothing}
        </li>`,
      )}
    </ul>`;
  }

  #mover({ moves, answer, watched, choices, right }: AskedQuestion) {
    if (!moves) return nothing;
    const { spec } = moves;
    const { home } = this.parameters;
    const move = (live: boolean) => (event: CustomEvent<{ value: number }>) =>
      this.setElsewhere(moves.cell, { [moves.name]: event.detail.value }, live);
    const now = watched
      ? `${watched.label}: ${quantityText(watched)}`
      : choices.length > 0 && right !== undefined && choices[right].shown !== undefined
        ? `${choices[right].label}, ${choices[right].shown}`
        : `${answer.label}: ${quantityText(answer)}`;
    return html`<div class="mover">
      <p><strong>Now move it and see.</strong> Everything else on the page follows.</p>
      <bole-slider
        .label=${`${spec.label} (${moves.title})`}
        .unit=${spec.unit ?? ""}
        .value=${moves.value}
        .min=${spec.min}
        .max=${spec.max}
        .step=${spec.step}
        .digits=${spec.whole ? 0 : spec.digits}
        @input=${move(true)}
        @change=${move(false)}
      ></bole-slider>
      <div class="row">
        <p class="now">Now: <strong>${now}</strong></p>
        ${
          home !== null && home !== moves.value
            ? html`<button @click=${() => this.setElsewhere(moves.cell, { [moves.name]: home })}>Put it back</button>`
            : nothing
        }
      </div>
    </div>`;
  }

  #editor(value: AskedQuestion | undefined) {
    // Its words tell the answer: they are not on the page at all until someone asks for them.
    return html`<details @toggle=${(event: Event) => (this.editing = (event.target as HTMLDetailsElement).open)}>
      <summary>Set this question</summary>
      ${this.editing ? this.#fields(value) : nothing}
    </details>`;
  }

  #fields(value: AskedQuestion | undefined) {
    const field = (name: keyof typeof question.parameters) => parameterField(this, question.parameters, name);
    const { ask, answers, quantity } = this.parameters;
    const numbers = value?.askable.map(({ reference, label }) => ({ value: reference, label })) ?? [];
    return html`
      <div class="fields">
        <div class="wide">${field("text")}</div>
        ${field("ask")}
        ${
          ask === "number" || ask === "range"
            ? html`<bole-choice
                .label=${question.parameters.quantity.label}
                .options=${[{ value: "", label: "the first one" }, ...numbers]}
                .value=${quantity}
                @change=${(event: CustomEvent<{ value: string }>) => this.set({ quantity: event.detail.value })}
              ></bole-choice>`
            : nothing
        }
        ${ask === "number" ? html`${field("tolerance")} ${field("guessFrom")} ${field("guessTo")}` : nothing}
        ${field("against")} ${field("moved")} ${field("watch")}
        ${
          ask === "number"
            ? nothing
            : html`<div class="wide">
                ${editAnswers(answers, ask === "range", numbers, (changed) => this.set({ answers: changed }))}
              </div>`
        }
        <div class="wide">${field("after")}</div>
      </div>
      ${
        value
          ? html`<p class="soft">Names to use in {}: ${value.askable.map(({ reference }) => reference).join(", ")}</p>`
          : nothing
      }
    `;
  }

  static override styles = [
    ...viewStyles,
    css`
      .ask p,
      .after p {
        margin-block: 0.5rem;
      }
      .ask {
        font-size: 1.15rem;
      }
      fieldset {
        border: 0;
        margin: 0 0 0.75rem;
        padding: 0;
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(100%, 340px), 1fr));
        gap: 8px;
      }
      .choice {
        display: flex;
        align-items: center;
        gap: 0.75rem;
        min-block-size: var(--bole-target);
        margin: 0;
        padding: 6px 14px;
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
        font-weight: 400;
        cursor: pointer;
        max-inline-size: 70ch;
      }
      .choice:has(:checked) {
        border-width: 3px;
        padding: 4.5px 12.5px;
      }
      .choice:has(:focus-visible) {
        outline: 3px solid var(--bole-focus);
        outline-offset: 2px;
      }
      .choice input {
        flex: none;
        inline-size: 24px;
        block-size: 24px;
        margin: 0;
        accent-color: var(--bole-ink);
        outline: none;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 12px;
        align-items: center;
        margin-block: 10px;
      }
      .reveal {
        font-size: 1.1rem;
      }
      .skip {
        font-weight: 400;
      }
      .verdict p {
        margin: 0;
      }
      .verdict:focus {
        outline: none;
      }
      .verdict {
        border-inline-start: 6px solid var(--bole-ink);
        padding: 6px 14px;
      }
      .numbers {
        list-style: none;
        padding: 0;
        max-inline-size: 70ch;
      }
      .numbers li {
        display: flex;
        gap: 0.75rem;
        padding: 4px 0;
        border-bottom: 1px solid var(--bole-hairline);
      }
      .numbers li span:first-child {
        flex: 1;
      }
      .numbers strong,
      .now {
        font-variant-numeric: tabular-nums;
      }
      .mover {
        border-top: 1px solid var(--bole-hairline);
        margin-block-start: 14px;
        padding-block-start: 4px;
      }
      .now {
        margin: 0;
        font-size: 1.15rem;
      }
      @media print {
        .row,
        details {
          display: none;
        }
      }
    `,
  ];
}

function paragraphs(text: string) {
  return text
    .split(/\n+/)
    .filter((line) => line.trim() !== "")
    .map((line) => html`<p>${explainTerms(line, glossary)}</p>`);
}
