import { css } from "lit";

/** How a chart, its key, its read-out and its menu look. */
export const chartStyles = css`
  figure {
    margin: 0;
    position: relative;
  }
  .head {
    display: flex;
    flex-wrap: wrap;
    gap: 0 0.75rem;
    align-items: baseline;
    /* The press that keeps it in sight stands in the corner. */
    padding-inline-end: 34px;
    margin-block-end: 0.2rem;
  }
  figcaption {
    flex: 1;
    font-weight: 700;
  }
  :host(.fitted) :is(.head, .hint) {
    display: none;
  }
  .stage {
    position: relative;
  }
  .hint {
    margin: 0.3rem 0 0;
    /* Words that follow a slider keep their room. */
    min-block-size: 2lh;
  }
  .save {
    border: none;
    background: none;
    padding: 0 0.3rem;
    margin-block: -12px;
    margin-inline-start: auto;
    font-weight: 400;
    font-size: var(--bole-text-small);
    text-decoration: underline;
    color: var(--bole-ink-soft);
  }
  .ways {
    flex-basis: 100%;
    display: flex;
    flex-wrap: wrap;
    gap: 0.5rem;
    justify-content: end;
  }
  .key {
    display: flex;
    flex-wrap: wrap;
    gap: 0.1rem 1.1rem;
    margin: 0;
    padding: 0 4px 0.2rem;
    list-style: none;
    font-size: 15px;
    font-variant-numeric: tabular-nums;
  }
  :host(.fitted) .key {
    gap: 0 0.9rem;
    font-size: 14px;
    line-height: 1.25;
  }
  @media (min-width: 600px) {
    :host(.low) .room {
      display: flex;
      flex-direction: row-reverse;
      gap: 8px;
    }
    :host(.low) .stage {
      flex: 1;
      min-inline-size: 0;
    }
    :host(.low) .key {
      flex: none;
      flex-direction: column;
      flex-wrap: nowrap;
      max-inline-size: 176px;
      font-size: 13px;
    }
  }
  /* In the drawer of a phone the picture alone; what its lines mean stands in the cell. */
  @media (max-width: 599px) {
    :host(.fitted) .key {
      display: none;
    }
  }
  .key:empty {
    display: none;
  }
  .key li {
    display: flex;
    gap: 0.4rem;
    align-items: center;
    overflow-wrap: anywhere;
  }
  .key svg {
    flex: none;
  }
  .key .bold {
    font-weight: 700;
  }
  .picture {
    overflow: hidden;
    touch-action: var(--bole-swipe, pan-y);
  }
  /* Kept room that nothing stands in yet moves nothing when the key comes. */
  .picture:empty {
    visibility: hidden;
  }
  .picture svg {
    display: block;
    max-inline-size: 100%;
  }
  .picture text {
    white-space: pre;
  }
  .pick {
    position: absolute;
    inset: 0;
    cursor: ew-resize;
    touch-action: var(--bole-swipe, pan-y);
    border-radius: var(--bole-radius);
  }
  .line {
    position: absolute;
    inset: 0 auto auto 0;
    inline-size: 0;
    border-inline-start: 2px solid var(--bole-ink);
    pointer-events: none;
  }
  .reading {
    position: absolute;
    padding: 0.15rem 0.5rem;
    border: 1.5px solid var(--bole-ink);
    border-radius: var(--bole-radius);
    background: var(--bole-paper);
    font-size: var(--bole-text-small);
    font-variant-numeric: tabular-nums;
    white-space: pre-line;
    inline-size: max-content;
    pointer-events: none;
  }
  @media print {
    .save,
    .ways,
    .pick,
    .line,
    .reading {
      display: none;
    }
    figure {
      break-inside: avoid;
    }
    /* Drawn for the window: on paper it fits the page, and takes the room that it needs. */
    .room {
      min-block-size: 0 !important;
    }
    .picture svg {
      block-size: auto;
      max-block-size: 62mm;
      margin-inline: auto;
    }
    .key {
      font-size: 9pt;
    }
    .hint {
      min-block-size: 0;
      margin: 0;
    }
  }
  .failure {
    margin: 0;
    padding: 0.7rem 0.9rem;
    border: 1.5px solid var(--bole-alarm);
    border-inline-start-width: 6px;
    border-radius: var(--bole-radius);
    overflow-wrap: anywhere;
  }
`;
