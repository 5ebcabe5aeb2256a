import { css, html, type TemplateResult } from "lit";
import { type AxisWords, sizeWords, stepText } from "../../../src/judgement/stepWords.ts";
import type { EyePanel, SaidStep } from "../model/parameters.ts";

const steps = [-4, -3, -2, -1, 0, 1, 2, 3, 4] as const;

/**
 * The words to judge a panel by: one line for each axis, one press for each word, large enough for gloves.
 * @param name of the panel, for those who hear it   @param say told the axis and the word pressed
 */
export function wordKeys(
  name: string,
  words: readonly AxisWords[],
  said: EyePanel["steps"],
  say: (axis: number, step: SaidStep) => void,
): TemplateResult[] {
  return words.map(
    (
      word,
      axis,
    ) => html`<div class="axis" role="group" aria-label=${`${word.name}: ${name} beside the reference`}>
      <span class="axis-name">${word.name}</span>
      <div class="words">
        ${steps.map((step) => key(step, said[axis], word, () => say(axis, step)))}
        <button
          class="cannot"
          aria-pressed=${String(said[axis] === "cannot judge")}
          @click=${() => say(axis, "cannot judge")}
        >
          cannot judge
        </button>
      </div>
    </div>`,
  );
}

function key(step: (typeof steps)[number], said: SaidStep, word: AxisWords, press: () => void) {
  const direction = step < 0 ? word.below : word.above;
  return html`<button
    class=${step === 0 ? "none" : ""}
    aria-pressed=${String(said === step)}
    aria-label=${stepText(step, word)}
    @click=${press}
  >
    <span>${sizeWords[Math.abs(step)]}</span>${step === 0 ? "" : html` <strong>${direction}</strong>`}
  </button>`;
}

export const wordKeyStyles = css`
  .axis {
    margin-block: 14px;
  }
  .axis-name {
    display: block;
    font-weight: 700;
    margin-block-end: 6px;
  }
  .words {
    display: grid;
    grid-template-columns: repeat(5, minmax(0, 1fr));
    gap: 8px;
  }
  .words button {
    min-block-size: 60px;
    padding: 4px;
    line-height: 1.15;
    overflow-wrap: anywhere;
    font-weight: 400;
  }
  .words button span,
  .words button strong {
    display: block;
  }
  .words button[aria-pressed="true"] {
    background: var(--bole-ink);
    color: var(--bole-paper);
  }
  /* Below it on the left, above it on the right, what tells nothing in the middle. */
  .words .none {
    grid-column: 5;
    grid-row: 1;
  }
  @media (max-width: 480px) {
    .words {
      grid-template-columns: repeat(2, minmax(0, 1fr));
    }
    .words .none {
      grid-column: auto;
      grid-row: auto;
    }
  }
`;
