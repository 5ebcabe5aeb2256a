import { css } from "lit";
import { controlStyles, disclosureStyles, tokens } from "./tokens.ts";

/** What every cell view shares: fields in a grid that folds on narrow screens, rows of panels, figures in words. */
export const viewStyles = [
  tokens,
  controlStyles,
  disclosureStyles,
  css`
    .fields {
      display: grid;
      grid-template-columns: repeat(auto-fill, minmax(min(100%, 250px), 1fr));
      gap: 14px 20px;
      align-items: start;
    }
    .wide {
      grid-column: 1 / -1;
    }
    /* What the first field leaves of the line. */
    @media (min-width: 700px) {
      .rest {
        grid-column: 2 / -1;
      }
    }
    .panels {
      display: grid;
      grid-template-columns: repeat(auto-fill, minmax(min(46%, 190px), 1fr));
      gap: 14px;
      margin-block: 12px;
    }
    /* What is meant to be looked at together stands side by side where there is room for both. */
    .beside {
      display: grid;
      grid-template-columns: repeat(auto-fit, minmax(min(100%, 300px), 1fr));
      gap: 0 24px;
      align-items: start;
    }
    .beside > * {
      min-inline-size: 0;
    }
    .beside .panels {
      --bole-swatch-height: 96px;
      --bole-swatch-surround: 14px;
      grid-template-columns: repeat(auto-fit, minmax(110px, 1fr));
    }
    .beside .panels > * {
      max-inline-size: 210px;
    }
    .beside .fields {
      grid-template-columns: repeat(auto-fill, minmax(min(100%, 230px), 1fr));
    }
    /* There the line may hold one field only. */
    .beside .rest {
      grid-column: auto;
    }
    .beside .fields:has(> .rest) {
      grid-template-columns: repeat(auto-fit, minmax(min(100%, 190px), 1fr));
    }
    .beside .figures {
      grid-template-columns: repeat(auto-fill, minmax(120px, 1fr));
    }
    .beside .figures dd {
      font-size: 1.1rem;
    }
    .figures {
      display: grid;
      grid-template-columns: repeat(auto-fill, minmax(min(100%, 180px), 1fr));
      gap: 10px 20px;
      margin: 12px 0;
    }
    .figures div {
      display: flex;
      flex-direction: column;
    }
    .figures dt {
      color: var(--bole-ink-soft);
      font-size: var(--bole-text-small);
    }
    .figures dd {
      margin: 0;
      font-size: 1.25rem;
      font-weight: 700;
      font-variant-numeric: tabular-nums;
    }
    .verdict {
      font-size: 1.15rem;
      margin: 6px 0 10px;
      max-width: 70ch;
      /* The press that keeps it in sight stands in this corner. */
      padding-inline-end: 34px;
    }
    /* Words and figures that follow a slider keep their room, so that nothing below them is pushed about. */
    .verdict.moves {
      min-block-size: 2lh;
    }
    .panels.moves {
      --bole-swatch-lines: 3;
    }
    @media (max-width: 480px) {
      .verdict.moves {
        min-block-size: 3lh;
      }
      .panels.moves {
        --bole-swatch-lines: 4;
      }
    }
    bole-chart {
      margin-block: 8px;
    }
    details {
      margin-block: 6px;
    }
    .scroll {
      margin-block: 12px;
      overflow-x: auto;
      /* A shadow at the side where there is more. */
      background:
        linear-gradient(90deg, var(--bole-paper) 50%, transparent) 0 / 40px 100% no-repeat local,
        linear-gradient(-90deg, var(--bole-paper) 50%, transparent) 100% / 40px 100% no-repeat local,
        linear-gradient(90deg, rgb(128 128 128 / 45%), transparent) 0 / 9px 100% no-repeat scroll,
        linear-gradient(-90deg, rgb(128 128 128 / 45%), transparent) 100% / 9px 100% no-repeat scroll;
      /* Words for screen readers alone, placed within, must not widen the page. */
      position: relative;
    }
    table {
      border-collapse: collapse;
      width: 100%;
      font-variant-numeric: tabular-nums;
    }
    th,
    td {
      text-align: start;
      padding: 6px 12px 6px 0;
      border-bottom: 1px solid var(--bole-hairline);
      vertical-align: middle;
    }
    td.number,
    th.number {
      text-align: end;
    }
    td.number,
    td button {
      white-space: nowrap;
    }
    @media (max-width: 480px) {
      th,
      td {
        padding-inline-end: 8px;
      }
    }
    /* Where one piece alone is shown. */
    [data-aside] {
      display: none !important;
    }
    [data-way] {
      display: block !important;
      margin: 0 !important;
      padding: 0 !important;
      border: none !important;
    }
    :host([only]) .verdict,
    :host([only]) .panels {
      margin-block: 0;
      padding-inline-end: 0;
    }
    :host([only]) bole-chart {
      margin-block: 0;
    }
    .soft {
      color: var(--bole-ink-soft);
    }
    /* An answer to a question that has changed since. */
    .stale {
      border-left: 6px double var(--bole-line);
      padding-left: 12px;
    }
    .stale-note {
      background: var(--bole-press);
      border-radius: 6px;
      padding: 8px 12px;
    }
    /* Several short entries in one line. */
    .inline {
      padding: 0;
      margin: 0;
      list-style: none;
      display: flex;
      flex-wrap: wrap;
      gap: 2px 18px;
    }
    p {
      max-width: 75ch;
    }
    /* On paper there is nothing to press, and what is folded stays so. */
    @media print {
      button,
      .row:not(:has(:not(button))),
      details:not([open]),
      input,
      select,
      textarea {
        display: none !important;
      }
      .fields,
      .panels,
      .figures {
        gap: 4px 14px;
        margin-block: 4px;
      }
      .verdict,
      .verdict.moves {
        font-size: 1.1em;
        margin-block: 4px;
        min-block-size: 0;
        max-width: none;
      }
      p,
      bole-chart,
      .scroll {
        margin-block: 4px;
      }
      .panels {
        grid-template-columns: repeat(auto-fill, minmax(105px, 1fr));
      }
      .panels.moves {
        --bole-swatch-lines: 0;
      }
      .figures dd {
        font-size: 1.1em;
      }
      .scroll {
        overflow: visible;
        background: none;
      }
      th,
      td {
        padding-block: 2px;
      }
      tr,
      bole-swatch,
      .beside,
      .figures > div {
        break-inside: avoid;
      }
    }
  `,
];
