import { css, html, type TemplateResult } from "lit";

/** The words of one axis: what it is called, and what a thing is above nothing and below. */
interface KeyedAxis {
  readonly name: string;
  readonly above: string;
  readonly below: string;
}

/** A pressed word: its step, that nothing can be judged, or nothing pressed yet. */
type Pressed = number | "cannot judge" | null;

interface WordKeys<Step extends Pressed> {
  /** What is judged, for those who hear it: "panel 2 beside the reference". */
  readonly of: string;
  readonly axes: readonly KeyedAxis[];
  /** The sizes of a difference in words, from none on. */
  readonly sizes: readonly string[];
  readonly pressed: readonly Step[];
  /** Told the axis and the word pressed. */
  readonly press: (axis: number, step: Step) => void;
}

/** Words to judge by: a line for each axis, one press for each word, large enough for gloves. */
export function wordKeys<Step extends Pressed>({
  of,
  axes,
  sizes,
  pressed,
  press,
}: WordKeys<Step>): TemplateResult[] {
  const most = sizes.length - 1;
  // Two rows, each from much to hardly, so that one size stands in one column; what tells nothing closes the first.
  const sized = Array.from({ length: most }, (_, k) => most - k);
  const steps = [...sized.map((size) => -size), 0, ...sized];
  const key = (axis: number, step: number) => {
    const size = sizes[Math.abs(step)];
    const word = step < 0 ? axes[axis].below : axes[axis].above;
    return html`<button
      aria-pressed=${String(pressed[axis] === step)}
      aria-label=${step === 0 ? size : `${size} ${word}`}
      @click=${() => press(axis, step as Step)}
    >
      <span>${size}</span>${step === 0 ? "" : html` <strong>${word}</strong>`}
    </button>`;
  };
  return axes.map(
    ({ name }, axis) => html`<div class="axis" role="group" aria-label=${`${name}: ${of}`}>
      <span class="axis-name">${name}</span>
      <div class="words">
        ${steps.map((step) => key(axis, step))}
        <button
          aria-pressed=${String(pressed[axis] === "cannot judge")}
          @click=${() => press(axis, "cannot judge" as Step)}
        >
          cannot judge
        </button>
      </div>
    </div>`,
  );
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
  @media (max-width: 480px) {
    .words {
      grid-template-columns: repeat(2, minmax(0, 1fr));
    }
  }
`;
