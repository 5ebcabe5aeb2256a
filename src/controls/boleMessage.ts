import { css, html, LitElement, nothing, svg } from "lit";
import { customElement, property } from "lit/decorators.js";
import { controlStyles, tokens } from "./tokens.ts";

type MessageKind = "error" | "blocked" | "begin" | "note";

const words: Record<MessageKind, string> = {
  error: "Error",
  blocked: "Waiting",
  begin: "To begin",
  note: "Note",
};

const icons: Record<MessageKind, ReturnType<typeof svg>> = {
  error: svg`<path d="M12 2 23 21H1Z" /><path d="M12 9v6M12 17v2" />`,
  blocked: svg`<circle cx="12" cy="12" r="10" /><path d="M9 7v10M15 7v10" />`,
  begin: svg`<path d="M3 12h17M13 5l7 7-7 7" />`,
  note: svg`<circle cx="12" cy="12" r="10" /><path d="M12 6v2.5M12 11v7" />`,
};

/**
 * What went wrong, what is waited for, or what is worth knowing: a word and a shape for the kind, the field meant, the
 * text, and in the slot a way out (a button or a link).
 */
@customElement("bole-message")
export class BoleMessage extends LitElement {
  @property() kind: MessageKind = "note";
  @property() text = "";
  /** name of the field or cell that is meant */
  @property() field = "";

  override render() {
    const role =
      this.kind === "error" ? "alert" : this.kind === "blocked" || this.kind === "begin" ? "status" : "note";
    return html`
      <div class="message ${this.kind}" role=${role}>
        <svg viewBox="0 0 24 24" width="28" height="28" aria-hidden="true">${icons[this.kind]}</svg>
        <div>
          <p>
            <strong>${words[this.kind]}${this.field ? ` in ${this.field}` : nothing}.</strong>
            ${this.text}
          </p>
          <div class="way"><slot></slot></div>
        </div>
      </div>
    `;
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      .message {
        display: flex;
        gap: 0.7rem;
        padding: 0.7rem 0.9rem;
        border: 1.5px solid var(--bole-line);
        border-inline-start-width: 6px;
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
        overflow-wrap: anywhere;
      }
      .message > div {
        flex: 1;
        min-inline-size: 0;
      }
      .error {
        border-color: var(--bole-alarm);
      }
      .blocked {
        border-style: dashed;
        border-inline-start-style: solid;
      }
      svg {
        flex: none;
        fill: none;
        stroke: currentColor;
        stroke-width: 2.2;
      }
      .error svg,
      .error strong {
        color: var(--bole-alarm);
      }
      p {
        margin: 0;
      }
      .way {
        display: flex;
        flex-wrap: wrap;
        gap: 0.5rem;
      }
      .way ::slotted(*) {
        margin-block-start: 0.5rem;
      }
      .way ::slotted(button),
      .way ::slotted(a) {
        min-block-size: var(--bole-target);
        padding: 0 1rem;
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
        background: var(--bole-sheet);
        color: var(--bole-ink);
        font: inherit;
        font-weight: 700;
        cursor: pointer;
      }
      .way ::slotted(a) {
        display: inline-flex;
        align-items: center;
      }
      .way ::slotted(:focus-visible) {
        outline: 3px solid var(--bole-focus);
        outline-offset: 2px;
      }
    `,
  ];
}
