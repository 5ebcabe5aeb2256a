import { css } from "lit";
import { controlStyles, disclosureStyles, tokens } from "./tokens.ts";

/** The colours found in a file, as rows to tick. */
export const colourInputStyles = [
  tokens,
  controlStyles,
  disclosureStyles,
  css`
    button {
      margin-block: 8px;
    }
    .buttons {
      display: flex;
      flex-wrap: wrap;
      gap: 0 12px;
    }
    .asked {
      display: grid;
      grid-template-columns: repeat(auto-fill, minmax(min(100%, 250px), 1fr));
      gap: 14px 20px;
    }
    .rows {
      list-style: none;
      padding: 0;
      margin: 8px 0;
      display: grid;
      grid-template-columns: repeat(auto-fill, minmax(min(100%, 330px), 1fr));
      gap: 6px 14px;
    }
    .rows label {
      display: flex;
      align-items: center;
      gap: 12px;
      min-block-size: 60px;
      margin: 0;
      padding: 4px 10px;
      border: 1.5px solid var(--bole-hairline);
      border-radius: var(--bole-radius);
      cursor: pointer;
      font-weight: 400;
    }
    .rows label:has(:checked) {
      border-color: var(--bole-ink);
      border-width: 2.5px;
      padding: 3px 9px;
    }
    .rows label:has(:focus-visible) {
      outline: 3px solid var(--bole-focus);
      outline-offset: 2px;
    }
    input[type="checkbox"] {
      inline-size: 24px;
      block-size: 24px;
      flex: none;
      accent-color: var(--bole-ink);
      outline: none;
    }
    .chip {
      flex: none;
      padding: 7px;
      background: var(--bole-surround);
    }
    .chip span {
      display: block;
      inline-size: 34px;
      block-size: 34px;
      forced-color-adjust: none;
    }
    .words {
      flex: 1;
      min-inline-size: 0;
    }
    .name {
      display: block;
      font-weight: 700;
      overflow-wrap: anywhere;
    }
    /* It comes when the library has been read, and pushes nothing. */
    bole-habit-chooser {
      display: block;
      min-block-size: var(--bole-target);
    }
    .figures {
      font-variant-numeric: tabular-nums;
    }
    .spark {
      flex: none;
      color: var(--bole-ink);
    }
    .unusable {
      padding: 10px;
      overflow-wrap: anywhere;
    }
    @media (max-width: 430px) {
      .spark {
        display: none;
      }
    }
  `,
];
