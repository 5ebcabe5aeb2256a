import { css } from "lit";
import { controlStyles, tokens } from "../controls/tokens.ts";

/** While a notebook opens, what is below this many first cells shows when they are in place: nothing is pushed about. */
export const inOrder = 12;

/** The head of the workbench, the column of cells, and what stands over it. */
export const workbenchStyles = [
  tokens,
  controlStyles,
  css`
    .top {
      display: flex;
      gap: 12px;
      align-items: center;
      padding: 6px 16px;
      background: var(--bole-paper);
      border-bottom: 1px solid var(--bole-hairline);
    }
    .mark {
      font-weight: 700;
      font-size: 1.25rem;
      color: inherit;
      text-decoration: none;
      min-block-size: 44px;
      min-inline-size: 48px;
      display: inline-flex;
      align-items: center;
    }
    .mark:hover {
      text-decoration: underline;
    }
    .title {
      flex: 1;
      min-width: 0;
      min-height: 44px;
      font-size: 1.15rem;
      line-height: 1.3;
      border: 1px solid transparent;
      background: transparent;
      padding: 8px 6px;
      border-radius: 4px;
      resize: none;
      field-sizing: content;
    }
    .title:hover {
      border-color: var(--bole-hairline);
    }
    bole-panels {
      position: sticky;
      top: 0;
      z-index: 5;
    }
    main {
      max-width: 1080px;
      margin: 0 auto;
      padding: 4px 16px 80px;
    }
    .filling bole-cell:not([filled]):nth-of-type(-n + ${inOrder}) ~ * {
      visibility: hidden;
    }
    .adder {
      text-align: center;
      margin: 2px 0;
    }
    .add {
      border-color: transparent;
      background: none;
      font-weight: 400;
      color: var(--bole-ink-soft);
    }
    .add:hover,
    .add:focus-visible {
      border-color: var(--bole-line);
    }
    .kinds {
      display: grid;
      grid-template-columns: repeat(auto-fill, minmax(min(100%, 280px), 1fr));
      gap: 8px;
      margin: 12px 0;
    }
    .kinds button {
      text-align: start;
      padding: 10px 14px;
      font-weight: 400;
      display: flex;
      flex-direction: column;
      gap: 4px;
    }
    .opening {
      max-width: 720px;
      margin: 0 auto;
      padding: 10vh 16px;
    }
    .honest {
      color: var(--bole-ink-soft);
      max-width: 75ch;
      margin: 24px auto 0;
      padding: 0 12px;
    }
    .toast {
      position: fixed;
      inset: auto 16px 16px;
      margin: 0 auto;
      max-width: 640px;
      background: var(--bole-ink);
      color: var(--bole-paper);
      border-radius: 8px;
      padding: 10px 18px;
      z-index: 10;
      display: flex;
      flex-wrap: wrap;
      gap: 4px 14px;
      align-items: center;
    }
    .toast p {
      margin: 4px 0;
      flex: 1 1 60%;
    }
    .toast button {
      color: var(--bole-ink);
      margin-left: auto;
    }
    /* The title has a line of its own, so that it is not cut. */
    @media (max-width: 900px) {
      .top {
        flex-wrap: wrap;
      }
      .top .title {
        order: 1;
        flex-basis: 100%;
      }
      .top .mark {
        margin-inline-end: auto;
      }
    }
    @media (max-width: 480px) {
      main {
        padding: 4px 0 80px;
      }
      .top {
        padding: 6px 10px;
        gap: 6px 8px;
      }
    }
    @media print {
      .adder,
      .kinds,
      .mark,
      .top button,
      bole-notebooks,
      bole-help,
      .toast {
        display: none;
      }
      .top {
        padding: 0 0 6px;
        border: none;
      }
      .top .title {
        min-height: 0;
        padding: 0;
        border: none;
        font-size: 16pt;
        font-weight: 700;
      }
      bole-panels {
        position: static;
        break-inside: avoid;
      }
      main {
        max-width: none;
        padding: 4px 0 0;
      }
      .honest {
        margin: 8px 0 0;
        padding: 0;
        max-width: none;
        font-size: 9pt;
      }
    }
  `,
];
