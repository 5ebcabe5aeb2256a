// long because column, pane and drawer, three forms of one thing, are told beside what they stand beside.
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
      position: sticky;
      top: 0;
      z-index: 6;
      display: grid;
      grid-template-columns: auto 1fr auto auto;
      gap: 0 12px;
      align-items: center;
      padding: 4px 16px;
      background: var(--bole-paper);
      border-bottom: 1px solid var(--bole-hairline);
    }
    .bar {
      display: contents;
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
      grid-area: 1 / 2;
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
    .top bole-save-bar {
      grid-area: 1 / 3;
    }
    .doors {
      grid-area: 1 / 4;
      display: flex;
      gap: 6px;
    }
    .doors button {
      min-block-size: 44px;
      padding: 0 12px;
      border-color: transparent;
      background: none;
      font-weight: 400;
    }
    .doors button:hover,
    .doors button[aria-expanded="true"] {
      border-color: var(--bole-line);
    }
    .sign {
      display: none;
    }
    .top bole-next-step {
      grid-column: 1 / -1;
      margin: 0 -16px -4px;
    }
    .bench {
      max-width: 1180px;
      margin: 0 auto;
    }
    main {
      min-width: 0;
      max-width: 1080px;
      margin: 0 auto;
      padding: 4px 16px 24px;
    }
    .side {
      background: var(--bole-paper);
      min-width: 0;
    }
    .shrink {
      display: none;
    }
    .covered {
      padding: 12px 16px;
      border-bottom: 1px solid var(--bole-hairline);
    }
    /* The room of the panels until they are loaded. */
    bole-panels:not(:defined) {
      display: block;
      min-height: 152px;
    }
    /* Wide: a column of its own that stays put while the cells scroll. */
    @media (min-width: 1100px) {
      .bench.beside {
        max-width: none;
        display: grid;
        grid-template-columns: minmax(0, 1fr) var(--side, clamp(472px, 35vw, 640px));
        align-items: start;
      }
      .beside main {
        grid-area: 1 / 1;
        width: 100%;
        box-sizing: border-box;
      }
      .side {
        grid-area: 1 / 2;
        position: sticky;
        top: var(--bole-bar, 54px);
        height: calc(100vh - var(--bole-bar, 54px));
        display: flex;
        flex-direction: column;
        border-inline-start: 1px solid var(--bole-hairline);
        z-index: 4;
      }
      .side > bole-panels {
        flex: none;
        max-height: 48%;
        overflow-y: auto;
        border-block-end: 1px solid var(--bole-hairline);
      }
      .side > bole-kept {
        flex: 1;
      }
    }
    @media (max-width: 1099px) {
      .side {
        z-index: 5;
      }
      .shrink {
        display: flex;
        position: absolute;
        inset-inline-end: 12px;
        align-items: center;
        justify-content: center;
        min-block-size: 36px;
        block-size: 36px;
        inline-size: 56px;
        padding: 0;
        background: var(--bole-paper);
      }
      .shrunk .shrink {
        position: static;
        inline-size: 100%;
        min-block-size: 56px;
        block-size: auto;
        border: none;
        border-radius: 0;
        justify-content: space-between;
        padding: 0 16px 0 0;
        font-weight: 400;
        text-align: start;
      }
    }
    /* A pane over the cells, half of the height at most. */
    @media (min-width: 600px) and (max-width: 1099px) {
      .side {
        position: sticky;
        top: var(--bole-bar, 54px);
        border-block-end: 1px solid var(--bole-line);
      }
      .side:not(.shrunk):has(bole-kept) {
        height: 50vh;
        display: flex;
        flex-direction: column;
      }
      .side:not(.shrunk) .shrink {
        inset-block-start: 4px;
        inset-inline-end: 2px;
        inline-size: 44px;
        min-inline-size: 44px;
        min-block-size: 44px;
        z-index: 3;
        border-color: transparent;
        background: none;
      }
      .side:not(.shrunk) bole-panels {
        flex: none;
        margin-inline-end: 48px;
      }
      .side > bole-kept {
        flex: 1;
      }
    }
    /* A drawer at the foot. */
    @media (max-width: 599px) {
      .side {
        position: fixed;
        inset: auto 0 0;
        border-block-start: 1px solid var(--bole-line);
        display: flex;
        flex-direction: column;
      }
      .side:not(.shrunk):has(bole-kept) {
        height: 40vh;
      }
      .side > bole-panels {
        flex: none;
      }
      .side > bole-kept {
        flex: 1;
      }
      .side:not(.shrunk) .shrink {
        inset-block-start: -36px;
        border-end-start-radius: 0;
        border-end-end-radius: 0;
        border-block-end: none;
      }
      .beside main {
        padding-bottom: calc(40vh + 80px);
      }
    }
    .filling bole-cell:not([filled]):nth-of-type(-n + ${inOrder}) ~ * {
      visibility: hidden;
    }
    /* Between two cells: seen where the pointer or the focus is. */
    .adder {
      position: relative;
      height: 8px;
      text-align: center;
    }
    .add {
      position: absolute;
      inset-block-start: -17px;
      inset-inline-start: calc(50% - 80px);
      inline-size: 160px;
      min-block-size: 44px;
      padding: 0;
      border-color: transparent;
      background: none;
      font-weight: 400;
      color: var(--bole-ink-soft);
      z-index: 1;
      opacity: 0;
    }
    .adder:last-of-type {
      height: 44px;
    }
    .adder:last-of-type .add {
      inset-block-start: 0;
      opacity: 1;
    }
    .add:hover,
    .add:focus-visible {
      border-color: var(--bole-line);
      background: var(--bole-paper);
      opacity: 1;
    }
    @media (hover: none) {
      .adder {
        height: 40px;
      }
      .add {
        opacity: 1;
        inset-block-start: -2px;
      }
    }
    .opening {
      max-width: 720px;
      margin: 0 auto;
      padding: 10vh 16px;
    }
    .honest {
      color: var(--bole-ink-soft);
      max-width: 75ch;
      margin: 12px auto 0;
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
    /* The title has a line of its own, so that it is not cut; it scrolls away. */
    @media (max-width: 900px) {
      .top {
        display: contents;
      }
      .bar {
        position: sticky;
        top: 0;
        z-index: 6;
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 0 6px;
        padding: 2px 10px;
        background: var(--bole-paper);
        border-bottom: 1px solid var(--bole-hairline);
      }
      .bar .mark {
        margin-inline-end: auto;
      }
      .top bole-next-step {
        flex-basis: 100%;
        margin: 0 -10px -2px;
      }
      .title {
        display: block;
        box-sizing: border-box;
        width: 100%;
        padding-inline: 16px;
        background: var(--bole-paper);
        border-radius: 0;
      }
    }
    @media (max-width: 599px) {
      .bar {
        padding: 2px 6px;
        gap: 0 2px;
      }
      .doors {
        gap: 0;
      }
      .doors button {
        padding: 0;
        min-inline-size: 44px;
      }
      .sign {
        display: inline;
        font-size: 1.2rem;
      }
      .word {
        display: none;
      }
    }
    @media (max-width: 480px) {
      main {
        padding: 4px 0 80px;
      }
    }
    .on-paper {
      display: none;
    }
    @media print {
      .adder,
      .mark,
      .top button,
      bole-notebooks,
      bole-help,
      .toast {
        display: none;
      }
      .bar,
      .side .shrink,
      bole-kept {
        display: none;
      }
      .top {
        position: static;
        padding: 0 0 6px;
        border: none;
      }
      .bench.beside {
        display: block;
      }
      .bench .side,
      .bench .side:not(.shrunk):has(bole-kept) {
        position: static;
        height: auto;
        border: none;
      }
      .bench .side > bole-panels {
        max-height: none;
        overflow: visible;
        border: none;
      }
      /* A field keeps the height that it had on the screen. */
      .top .title {
        display: none;
      }
      .on-paper {
        display: block;
        margin: 0;
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
