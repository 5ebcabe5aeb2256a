import { css, html, LitElement, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { emit } from "./emit.ts";
import "./index.ts";
import type { OfferedColours } from "./offeredColours.ts";
import { notPrinted } from "./tokens.ts";
import { viewStyles } from "./viewStyles.ts";

/** A colour that is known already, in this notebook or in the library. */
export interface KnownColour {
  /** such as "photograph “Seat”" */
  readonly label: string;
  read(): Promise<OfferedColours>;
}

/** Colours that are known already, as its surroundings hand them to a control (`bole-colours`). */
export interface ColourShelf {
  list(): Promise<readonly KnownColour[]>;
  /** A cell for a photograph; its colours are on the list when it has any. */
  photograph(): Promise<void>;
}

/** A control asks for the colours; it may be answered later. */
export interface ColourRequest {
  use(shelf: ColourShelf): void;
}

/** A colour was chosen, and is being read. */
export interface ChosenColour {
  readonly from: string;
  readonly read: Promise<OfferedColours>;
}

/**
 * A colour from a photograph, from another cell or from the library. Without surroundings that know any nothing is shown.
 *
 * @fires chosen - CustomEvent<ChosenColour>
 */
@customElement("bole-colour-at-hand")
export class ColourAtHand extends LitElement {
  @state() private shelf: ColourShelf | undefined;
  @state() private known: readonly KnownColour[] | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    const detail: ColourRequest = { use: (shelf) => (this.shelf = shelf) };
    this.dispatchEvent(new CustomEvent("bole-colours", { detail, bubbles: true, composed: true }));
  }

  protected override render() {
    const { shelf, known } = this;
    if (!shelf) return nothing;
    return html`<details @toggle=${(event: Event) => this.#toggled((event.target as HTMLDetailsElement).open)}>
      <summary>Or take one from a photograph or the library</summary>
      ${known && known.length > 0 ? this.#choice(known) : nothing}
      ${known?.length === 0 ? html`<p>No other cell and no item of the library has a colour yet.</p>` : nothing}
      <button type="button" class="plain" @click=${() => void shelf.photograph()}>Photograph it beside a grey card</button>
      <p class="soft">That adds a cell for the picture; its colours are then found here.</p>
    </details>`;
  }

  #choice(known: readonly KnownColour[]) {
    const options = known.map(({ label }, i) => ({ value: String(i), label }));
    return html`<bole-choice
      label="A colour at hand"
      .options=${[{ value: "", label: "choose" }, ...options]}
      value=""
      @change=${(event: CustomEvent<{ value: string }>) => this.#chosen(known[Number(event.detail.value)])}
    ></bole-choice>`;
  }

  #chosen({ label, read }: KnownColour): void {
    emit<ChosenColour>(this, "chosen", { from: label, read: read() });
    // The next colour is chosen anew, from what there is then.
    this.known = undefined;
    void this.#look();
  }

  #toggled(open: boolean): void {
    if (open) void this.#look();
  }

  async #look(): Promise<void> {
    this.known = await this.shelf!.list();
  }

  static override styles = [
    ...viewStyles,
    notPrinted,
    css`
      :host {
        display: block;
      }
    `,
  ];
}
