import { html, nothing } from "lit";
import type { OfferedAnswer } from "../define.ts";

/**
 * Fields for the answers of a question.
 * @param ranged whether an answer stands for a range of the number asked, else for a number of its own
 * @param numbers the numbers of the linked cells to choose from
 */
export function editAnswers(
  answers: readonly OfferedAnswer[],
  ranged: boolean,
  numbers: readonly { value: string; label: string }[],
  change: (answers: OfferedAnswer[]) => void,
) {
  const put = (index: number, patch: Partial<OfferedAnswer>) =>
    change(answers.map((answer, at) => (at === index ? { ...answer, ...patch } : answer)));
  /** An empty box means no limit. */
  const limit = (index: number, name: "from" | "to", text: string) => {
    const value = Number(text.replace(",", "."));
    if (text.trim() !== "" && !Number.isFinite(value)) return;
    put(index, { [name]: text.trim() === "" ? undefined : value });
  };
  return html`
    ${answers.map(
      (answer, index) => html`<div class="fields" role="group" aria-label=${`Answer ${index + 1}`}>
        <bole-text
          .label=${`Answer ${index + 1}`}
          .value=${answer.label}
          .maxLength=${200}
          @change=${(event: CustomEvent<{ value: string }>) => put(index, { label: event.detail.value || "…" })}
        ></bole-text>
        ${
          ranged
            ? html`<bole-text
                  label="Right from"
                  hint="Empty: no limit."
                  .value=${answer.from === undefined ? "" : String(answer.from)}
                  @change=${(event: CustomEvent<{ value: string }>) => limit(index, "from", event.detail.value)}
                ></bole-text>
                <bole-text
                  label="to below"
                  hint="Empty: no limit."
                  .value=${answer.to === undefined ? "" : String(answer.to)}
                  @change=${(event: CustomEvent<{ value: string }>) => limit(index, "to", event.detail.value)}
                ></bole-text>
                <bole-toggle
                  label="Right when there is no such number"
                  .value=${answer.none === true}
                  @change=${(event: CustomEvent<{ value: boolean }>) => put(index, { none: event.detail.value })}
                ></bole-toggle>`
            : html`<bole-choice
                label="Stands for"
                .options=${numbers}
                .value=${answer.quantity ?? ""}
                @change=${(event: CustomEvent<{ value: string }>) => put(index, { quantity: event.detail.value })}
              ></bole-choice>`
        }
        <button @click=${() => change(answers.filter((_, at) => at !== index))}>Take this answer out</button>
      </div>`,
    )}
    ${
      answers.length < 8
        ? html`<button
            @click=${() => change([...answers, { label: "…", ...(ranged ? {} : { quantity: numbers[0]?.value }) }])}
          >Add an answer</button>`
        : nothing
    }
  `;
}
