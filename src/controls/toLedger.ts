import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { messageOf } from "../graph/messageOf.ts";
import { ledger } from "../ledger/atHand.ts";
import { idOfPanel, type Panel } from "../ledger/panel.ts";
import { plural } from "../words/plural.ts";
import { FollowLedger } from "./followLedger.ts";
import { controlStyles, tokens } from "./tokens.ts";

/**
 * Hands readings on to the ledger of panels with one press; afterwards it says that they are there, and takes them out
 * again. Where no ledger is at hand it shows nothing.
 */
@customElement("bole-to-ledger")
export class ToLedger extends LitElement {
  @property({ attribute: false }) panels: readonly Panel[] = [];
  /** Why some readings cannot be handed on, in words. */
  @property() passedOver = "";
  @state() private trouble = "";
  @state() private busy = false;

  constructor() {
    super();
    new FollowLedger(this);
  }

  protected override render() {
    const { entries } = ledger;
    if (!entries || (this.panels.length === 0 && this.passedOver === "")) return nothing;
    const there = new Set(entries.map(({ id }) => id));
    const missing = this.panels.filter((panel) => !there.has(idOfPanel(panel)));
    const held = this.panels.length - missing.length;
    return html`<div class="row">
      ${
        missing.length > 0
          ? html`<button ?disabled=${this.busy} @click=${() => this.#give(missing)}>
              To the ledger${this.panels.length > 1 ? ` (${plural(missing.length, "reading")})` : nothing}
            </button>`
          : nothing
      }
      <span role="status">
        ${held > 0 ? `${this.panels.length > 1 ? `${held} of ${plural(this.panels.length, "reading")}` : "This reading"} ${held > 1 ? "are" : "is"} in the ledger of panels.` : nothing}
        ${this.passedOver}
        ${this.trouble ? html`<strong>It stays as it was:</strong> ${this.trouble}` : nothing}
      </span>
      ${held > 0 ? html`<button ?disabled=${this.busy} @click=${() => this.#takeOut()}>Take out of the ledger</button>` : nothing}
    </div>`;
  }

  #give(panels: readonly Panel[]): Promise<void> {
    return this.#change(panels.map((panel) => ({ id: idOfPanel(panel), panel, basedOn: 0 })));
  }

  #takeOut(): Promise<void> {
    const own = new Set(this.panels.map(idOfPanel));
    const entries = (ledger.entries ?? []).filter(({ id }) => own.has(id));
    return this.#change(entries.map(({ id, number }) => ({ id, panel: null, basedOn: number })));
  }

  async #change(changes: Parameters<typeof ledger.change>[0]): Promise<void> {
    this.busy = true;
    try {
      await ledger.change(changes);
      this.trouble = "";
    } catch (error) {
      this.trouble = messageOf(error);
    } finally {
      this.busy = false;
    }
  }

  static override styles = [
    tokens,
    controlStyles,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        align-items: center;
        gap: 6px 12px;
        margin-block: 10px;
      }
      @media print {
        :host {
          display: none;
        }
      }
    `,
  ];
}
