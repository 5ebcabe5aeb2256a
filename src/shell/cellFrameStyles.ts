import { css } from "lit";
import { tokens, unseen } from "../controls/tokens.ts";

/** The frame of a cell: its head, its menu, its foot, and the body while it waits. */
export const cellFrameStyles = [
  tokens,
  unseen,
  css`
    :host(:not([filled])) .body,
    :host(:not([filled])) .body ~ * {
      visibility: hidden;
    }
    :host {
      display: block;
    }
    /* Not laid out before it comes near the window, so that hundreds of cells open at once. */
    :host([waits]) {
      content-visibility: auto;
      contain-intrinsic-block-size: auto 340px;
    }
    section {
      background: var(--bole-paper);
      border: 1px solid var(--bole-hairline);
      border-radius: 6px;
      padding: 6px 16px 10px;
    }
    /* Linked with the cell that is pointed at: a line at the side, whole for a giver, double for a taker. */
    :host([relation="gives"]) section {
      box-shadow: -5px 0 0 -1px var(--bole-ink);
    }
    :host([relation="takes"]) section {
      box-shadow:
        -3px 0 0 -1px var(--bole-ink),
        -6px 0 0 -2px var(--bole-paper),
        -8px 0 0 -2px var(--bole-ink);
    }
    section:focus {
      outline: none;
    }
    section:focus-visible {
      outline: 3px solid var(--bole-focus);
    }
    header {
      display: flex;
      gap: 12px;
      align-items: center;
    }
    .names {
      flex: 1;
      min-width: 0;
    }
    .kind {
      display: flex;
      align-items: center;
      margin: -6px 0 -10px;
      color: var(--bole-ink-soft);
      font-size: 16px;
    }
    .title {
      font: inherit;
      font-size: 22px;
      font-weight: 700;
      width: 100%;
      min-height: 44px;
      border: 1px solid transparent;
      border-radius: 4px;
      background: transparent;
      color: inherit;
      line-height: 1.25;
      padding: 8px 6px;
      margin-left: -7px;
      box-sizing: border-box;
      display: block;
      resize: none;
      field-sizing: content;
    }
    .title:hover {
      border-color: var(--bole-hairline);
    }
    .fold {
      flex: none;
      padding: 0;
      border-color: transparent;
      background: none;
      color: var(--bole-ink-soft);
      margin-inline: -10px -6px;
    }
    .fold path {
      fill: none;
      stroke: currentColor;
      stroke-width: 2;
    }
    /* The presses that keep something in sight show where one is at work. */
    section:hover,
    section:focus-within {
      --bole-keep: 1;
    }
    section.line {
      display: flex;
      align-items: center;
      gap: 12px;
      padding: 0 16px;
      min-height: 44px;
    }
    .told {
      flex: 1;
      min-width: 0;
      margin: 0;
      padding-block: 6px;
      cursor: pointer;
      line-height: 1.35;
      overflow-wrap: anywhere;
      display: flex;
      flex-wrap: wrap;
      gap: 0 12px;
      align-items: center;
    }
    .told .kind {
      margin: 0;
      flex: none;
    }
    .told .words {
      flex: 1 1 16rem;
      color: var(--bole-ink-soft);
    }
    @media (pointer: fine) {
      header .title,
      header .tool,
      header .fold {
        min-height: 40px;
      }
    }
    .swatch {
      flex: none;
      width: 28px;
      height: 24px;
      outline: 4px solid var(--bole-surround);
      outline-offset: -4px;
      padding: 4px;
      box-sizing: border-box;
      background-clip: content-box !important;
      print-color-adjust: exact;
      forced-color-adjust: none;
    }
    .state {
      white-space: nowrap;
      color: var(--bole-ink-soft);
    }
    .state.error {
      color: var(--bole-ink);
      font-weight: 700;
    }
    button {
      font: inherit;
      min-height: 44px;
      min-width: 44px;
      padding: 0 14px;
      border: 1px solid var(--bole-line, var(--bole-hairline));
      border-radius: 6px;
      background: var(--bole-paper);
      color: var(--bole-ink);
      cursor: pointer;
    }
    button:hover:not([disabled]) {
      background: var(--bole-press);
    }
    button.plain {
      white-space: nowrap;
      border: none;
      background: none;
      text-decoration: underline;
      color: inherit;
    }
    button[disabled] {
      opacity: 0.5;
      cursor: default;
    }
    .menu {
      display: flex;
      flex-wrap: wrap;
      gap: 8px;
      align-items: center;
      padding: 8px 0;
    }
    .body {
      margin-top: 2px;
    }
    .waits {
      min-height: 240px;
    }
    .cover {
      margin: 0;
      padding: 10px 14px;
      border: 1.5px dashed var(--bole-line);
      border-radius: 6px;
      color: var(--bole-ink-soft);
    }
    .stale {
      opacity: 0.55;
    }
    .notes {
      margin: 8px 0 0;
      padding: 6px 12px 6px 30px;
      background: var(--bole-press);
      border-radius: 6px;
    }
    .notes > :only-child {
      list-style: none;
      margin-inline-start: -18px;
    }
    /* Floats over the foot of the cell while it is in sight, and takes no room: nothing moves when it comes or goes. */
    .progress {
      position: sticky;
      /* Above the bar that tells whether all is saved. */
      bottom: calc(var(--bole-dock, 0px) + 12px);
      z-index: 2;
      display: flex;
      gap: 12px;
      align-items: center;
      height: 60px;
      margin: 4px 0 -64px;
      padding: 0 10px;
      border: 1.5px solid var(--bole-line);
      border-radius: 6px;
      background: var(--bole-paper);
    }
    .progress span {
      flex: 1;
      min-width: 0;
      max-height: 2.6em;
      overflow: hidden;
      line-height: 1.3;
    }
    progress {
      accent-color: var(--bole-ink);
      flex: 1;
      max-width: 320px;
    }
    /* One line: the title, and what kind of cell it is. */
    @media (min-width: 900px) {
      .names {
        display: flex;
        flex-direction: row-reverse;
        align-items: center;
        gap: 16px;
      }
      .names .title {
        flex: 1;
        min-width: 0;
      }
      .kind {
        flex: none;
        margin: 0;
      }
    }
    @media (max-width: 480px) {
      section {
        padding: 10px 10px 12px;
        border-left: none;
        border-right: none;
        border-radius: 0;
      }
      /* The title has a line of its own, so that it is not cut. */
      header {
        display: grid;
        grid-template-columns: auto minmax(0, 1fr) auto auto;
        gap: 0 12px;
      }
      .names {
        display: contents;
      }
      .kind {
        flex-wrap: wrap;
      }
      /* For the eyes the sign alone: the long word would push the kind into a second line while it is there. */
      .state.running .word {
        position: absolute;
        clip-path: inset(50%);
      }
      .title {
        grid-area: 2 / 1 / 3 / -1;
        width: calc(100% + 7px);
        box-sizing: border-box;
        font-size: 18px;
      }
    }
    .supply {
      display: none;
    }
    @media print {
      .tool,
      .fold,
      .menu,
      .plain,
      .cover button,
      .state.ok,
      bole-links {
        display: none;
      }
      section,
      section:focus-visible {
        border: none;
        border-block-start: 1px solid var(--bole-hairline);
        border-radius: 0;
        outline: none;
        padding: 4px 0 6px;
        /* Not every browser keeps a title with what follows it; a cell that is longer than a page is broken all the same. */
        break-inside: avoid;
      }
      section.line {
        min-height: 0;
        padding: 2px 0;
        break-inside: avoid;
      }
      header {
        display: block;
        break-inside: avoid;
        break-after: avoid;
      }
      .kind {
        display: inline;
        margin: 0;
        font-size: 9pt;
      }
      /* A field keeps the height that it had on the screen. */
      .title {
        display: none;
      }
      .names .unseen {
        all: unset;
        display: block;
        flex: 1;
        font-size: 13pt;
        font-weight: 700;
      }
      .body {
        margin-top: 2px;
      }
      .waits {
        min-height: 0;
      }
      .notes {
        margin-block: 4px;
        padding-block: 2px;
        background: none;
      }
      /* A supply is one line: its title and what it is set to. */
      :host([supply]) section {
        display: flex;
        gap: 8px;
        align-items: baseline;
        padding-block: 2px;
        break-inside: avoid;
      }
      :host([supply]) section > :not(header, h2, .supply),
      :host([supply]) .kind {
        display: none;
      }
      :host([supply]) .unseen {
        all: unset;
        font-weight: 700;
        white-space: nowrap;
      }
      .supply {
        display: block;
        margin: 0;
        white-space: nowrap;
        overflow: hidden;
        text-overflow: ellipsis;
      }
    }
  `,
];
