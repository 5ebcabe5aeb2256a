import { css } from "lit";

/**
 * Colours and sizes of the workbench, as custom properties. In a document they stand on the root, in an element's
 * shadow on its host, so that every control looks right on its own. All chrome is neutral (red = green = blue): a tint
 * beside a colour panel would shift how the panel is seen.
 */
export const tokens = css`
  :root,
  :host {
    color-scheme: light dark;
    --bole-paper: #fafafa;
    --bole-sheet: #ffffff;
    --bole-ink: #161616;
    --bole-ink-soft: #4a4a4a;
    --bole-line: #767676;
    --bole-hairline: #d4d4d4;
    --bole-press: #e4e4e4;
    --bole-curve-edge: #5c5c5c;
    --bole-alarm: #8a1c12;
    --bole-focus: #000000;
    /* Around colour panels: the same mid-grey in both themes. */
    --bole-surround: #777777;
    --bole-target: 48px;
    --bole-text: 1.0625rem;
    --bole-text-small: 1rem;
    --bole-gap: 0.75rem;
    --bole-radius: 6px;
    --bole-motion: 120ms;
    --bole-font: system-ui, "Segoe UI", Roboto, "Noto Sans", "Open Sans", sans-serif;
  }
  @media screen and (prefers-color-scheme: dark) {
    :root,
    :host {
      --bole-paper: #1b1b1b;
      --bole-sheet: #262626;
      --bole-ink: #f2f2f2;
      --bole-ink-soft: #c6c6c6;
      --bole-line: #929292;
      --bole-hairline: #444444;
      --bole-press: #3a3a3a;
      --bole-curve-edge: #b4b4b4;
      --bole-alarm: #ffb4a8;
      --bole-focus: #ffffff;
    }
  }
  @media print {
    :root,
    :host {
      --bole-paper: #ffffff;
      --bole-text: 10pt;
      --bole-text-small: 9pt;
    }
  }
  @media (prefers-reduced-motion: reduce) {
    :root,
    :host {
      --bole-motion: 0ms;
    }
  }
`;

/** Words for screen readers alone. */
export const unseen = css`
  .unseen {
    position: absolute;
    inline-size: 1px;
    block-size: 1px;
    margin: -1px;
    padding: 0;
    border: 0;
    overflow: hidden;
    clip-path: inset(50%);
    white-space: nowrap;
  }
`;

/** For what has no place on paper. */
export const notPrinted = css`
  @media print {
    :host {
      display: none;
    }
  }
`;

/** What every control shares: box, text, focus ring, buttons and the words that say what is wrong. */
export const controlStyles = css`
  :host {
    display: block;
    font-family: var(--bole-font);
    font-size: var(--bole-text);
    line-height: 1.35;
    color: var(--bole-ink);
  }
  :host([hidden]) {
    display: none;
  }
  *,
  *::before,
  *::after {
    box-sizing: border-box;
  }
  label,
  .label {
    display: block;
    font-weight: 700;
    margin-block-end: 0.3rem;
  }
  :focus-visible {
    outline: 3px solid var(--bole-focus);
    outline-offset: 2px;
  }
  button,
  select,
  input,
  textarea {
    font: inherit;
    color: inherit;
  }
  button,
  .box,
  select,
  textarea {
    min-block-size: var(--bole-target);
    min-inline-size: var(--bole-target);
    border: 1.5px solid var(--bole-line);
    border-radius: var(--bole-radius);
    background: var(--bole-sheet);
  }
  button {
    padding: 0.25rem 1rem;
    font-weight: 700;
    cursor: pointer;
    touch-action: manipulation;
  }
  button:active {
    background: var(--bole-press);
  }
  button:disabled,
  button[aria-disabled="true"],
  :disabled {
    color: var(--bole-ink-soft);
    cursor: default;
  }
  button[aria-disabled="true"],
  button:disabled {
    border-style: dashed;
    background: transparent;
  }
  button.plain {
    font-weight: 400;
    border-color: transparent;
    background: none;
    text-decoration: underline;
  }
  .hint {
    color: var(--bole-ink-soft);
    font-size: var(--bole-text-small);
    margin-block: 0.3rem 0;
  }
  .trouble {
    border-inline-start: 5px solid var(--bole-alarm);
    padding: 0.35rem 0.7rem;
    margin-block: 0.45rem 0;
    overflow-wrap: anywhere;
  }
  .trouble p {
    margin: 0;
  }
  .trouble strong {
    color: var(--bole-alarm);
  }
  .trouble button {
    margin-block-start: 0.45rem;
  }
  [aria-invalid="true"] {
    border-color: var(--bole-alarm);
    border-width: 3px;
  }
  ${unseen}
`;

/** Something that opens under its summary. */
export const disclosureStyles = css`
  summary {
    min-block-size: var(--bole-target);
    display: flex;
    align-items: center;
    gap: 0.6rem;
    cursor: pointer;
    font-weight: 700;
  }
  summary::before {
    content: "▸";
  }
  details[open] > summary::before {
    content: "▾";
  }
`;

/** The box of a number control, with its unit inside. */
export const numberBoxStyles = css`
  .box {
    display: flex;
    align-items: center;
    padding-inline-end: 0.7rem;
    cursor: text;
  }
  .box:focus-within {
    outline: 3px solid var(--bole-focus);
    outline-offset: 2px;
  }
  .box:has([aria-invalid="true"]) {
    border-color: var(--bole-alarm);
    border-width: 3px;
  }
  .number {
    flex: 1 0 auto;
    /* The number is never hidden: where there is no room for both, it keeps its width and the unit wraps. */
    min-inline-size: 4.5rem;
    field-sizing: content;
    align-self: stretch;
    border: 0;
    outline: none;
    background: none;
    padding: 0 0.4rem 0 0.6rem;
    text-align: end;
    font-variant-numeric: tabular-nums;
  }
  @supports not (field-sizing: content) {
    .number {
      inline-size: 4.5rem;
    }
  }
  .unit {
    color: var(--bole-ink-soft);
    flex: 0 1 auto;
    min-inline-size: 0;
    line-height: 1.15;
  }
`;
