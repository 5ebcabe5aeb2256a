import { css, html, nothing, type PropertyValues, svg } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { notPrinted } from "../controls/tokens.ts";
import { Follow } from "./follow.ts";
import { saveAsFile } from "./notebookFile.ts";
import type { OpenNotebook } from "./openNotebook.ts";
import { Panel } from "./panel.ts";
import type { SaveState } from "./saver.ts";

/**
 * Undo, redo, and whether all is saved. Where something stands in the way of saving, the reason and the ways out.
 *
 * @fires bole-merge - the conflict is to be settled
 * @fires bole-open - CustomEvent<{name}>: another notebook is to be shown
 */
@customElement("bole-save-bar")
export class SaverBar extends Panel {
  @property({ attribute: false }) open!: OpenNotebook;
  @state() private hiddenText = "";
  @state() private done = "";

  constructor() {
    super();
    new Follow(this, () => this.open);
  }

  protected override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has("open")) this.done = "";
  }

  /** Take the last change back, and say so. */
  undo(): void {
    const label = this.open.undo();
    this.done = label ? `Undone: ${label}` : "There is nothing to undo";
  }

  /** Do again what was undone, and say so. */
  redo(): void {
    const label = this.open.redo();
    this.done = label ? `Done again: ${label}` : "There is nothing to do again";
  }

  protected override render() {
    const { undoLabel, redoLabel, saveState } = this.open;
    return html`
      <div class="bar">
        <button
          ?disabled=${!undoLabel}
          aria-label=${undoLabel ? `Undo: ${undoLabel}` : "Undo"}
          title=${undoLabel ? `Undo: ${undoLabel}` : "Nothing to undo"}
          @click=${() => this.undo()}
        >${arrow(false)}</button>
        <button
          ?disabled=${!redoLabel}
          aria-label=${redoLabel ? `Do again: ${redoLabel}` : "Do again"}
          title=${redoLabel ? `Do again: ${redoLabel}` : "Nothing to do again"}
          @click=${() => this.redo()}
        >${arrow(true)}</button>
        <span class="saved" role="status">${stateWords(saveState, this.open.isUnsaved)}</span>
        <span class="unseen" role="status">${this.done}</span>
      </div>
      ${this.#panel()}
    `;
  }

  #panel() {
    const { open } = this;
    const trouble = troubleOf(open);
    const text = trouble?.text ?? open.notice;
    if (!text || this.hiddenText === text) return nothing;
    return html`<div class="panel" role=${trouble ? "alert" : "status"}>
      <p>${trouble ? html`<strong>Not saved.</strong>` : nothing} ${text}</p>
      ${this.trouble ? html`<p>${this.trouble}</p>` : nothing}
      <div class="row">
        ${trouble?.ways.map((way) => html`<button @click=${() => this.attempt(() => way.run(this))}>${way.label}</button>`)}
        <button class="plain" @click=${() => this.#hide(text)}>${trouble ? "Hide this" : "Close"}</button>
      </div>
    </div>`;
  }

  #hide(text: string): void {
    if (text === this.open.notice) this.open.notice = "";
    else this.hiddenText = text;
    this.requestUpdate();
  }

  static override styles = [
    Panel.styles,
    notPrinted,
    css`
      :host {
        flex: none;
        min-inline-size: 2px;
        min-block-size: var(--bole-target);
      }
      .bar {
        display: flex;
        align-items: center;
        gap: 6px;
      }
      .bar button {
        padding: 0 10px;
      }
      .bar svg {
        display: block;
        fill: none;
        stroke: currentColor;
        stroke-width: 2.4;
        stroke-linecap: round;
        stroke-linejoin: round;
      }
      .saved {
        color: var(--bole-ink-soft);
        white-space: nowrap;
        padding-inline: 6px;
      }
      .panel {
        position: fixed;
        inset-inline: 0;
        inset-block-end: 0;
        z-index: 9;
        padding: 10px max(16px, calc(50vw - 540px));
        background: var(--bole-sheet);
        border-block-start: 3px solid var(--bole-ink);
      }
      .panel p {
        overflow-wrap: anywhere;
      }
      .plain {
        margin-inline-start: auto;
      }
    `,
  ];
}

function arrow(mirrored: boolean) {
  return html`<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
    ${svg`<g transform=${mirrored ? "matrix(-1 0 0 1 24 0)" : "matrix(1 0 0 1 0 0)"}>
      <path d="M9 5 4 10l5 5" /><path d="M4 10h9a6 6 0 0 1 0 12h-3" transform="translate(0 -2)" />
    </g>`}
  </svg>`;
}

/** How it stands with the file, in few words. */
function stateWords(state: SaveState, isUnsaved: boolean): string {
  switch (state.kind) {
    case "saved":
      return isUnsaved ? "Saving…" : "✓ Saved";
    case "waiting":
    case "saving":
      return "Saving…";
    case "away":
      return "Not saved, trying again";
    case "conflict":
      return "Not saved: changed elsewhere";
    default:
      return "Not saved";
  }
}

interface WayOut {
  readonly label: string;
  readonly run: (bar: SaverBar) => void | Promise<void>;
}

const asFile: WayOut = {
  label: "Save as a file",
  run: ({ open }) => saveAsFile(open.store.document, open.name),
};

/** Why nothing is saved, and what a person can do about it. */
function troubleOf(open: OpenNotebook): { text: string; ways: WayOut[] } | undefined {
  const { saveState: state, unreadable } = open;
  const kept = open.isKept
    ? "Your changes are kept in this browser meanwhile."
    : "This browser keeps nothing: your changes live in this window only.";
  switch (state.kind) {
    case "away":
      return {
        text: `${sentence(state.reason)} ${kept} It is tried again by itself.`,
        ways: [{ label: "Try now", run: () => open.retry() }, asFile],
      };
    case "refused":
      return { text: `${sentence(state.reason)} ${kept} Undo the last change, or:`, ways: [asFile] };
    case "gone":
      return {
        text: `${sentence(state.reason)} ${kept}`,
        ways: [{ label: `Save it again as “${open.name}”`, run: () => open.saveAnew() }, asFile],
      };
    case "elsewhere":
      return {
        text: `${sentence(state.reason)} ${kept} Start the server with the former folder, or:`,
        ways: [asFile],
      };
    case "conflict":
      if (unreadable) {
        return {
          text: `The file was changed by another program and is no notebook any more. ${sentence(unreadable.reason)} What is shown here can be written over it; the file's text stays among the revisions.`,
          ways: [{ label: "Write over it", run: () => open.writeOver() }, asFile],
        };
      }
      return {
        text: `${sentence(state.reason)} ${kept} Nothing has been overwritten.`,
        ways: [
          { label: "Bring both together…", run: (bar) => void bar.dispatchEvent(new Event("bole-merge")) },
          asFile,
        ],
      };
    default:
      return undefined;
  }
}

function sentence(text: string): string {
  return /[.!?]$/.test(text) ? text : `${text}.`;
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-save-bar": SaverBar;
  }
}
