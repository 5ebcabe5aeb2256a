import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { keepPicture } from "../controls/pictureDecode.ts";
import { messageOf } from "../graph/messageOf.ts";
import { Panel } from "./panel.ts";
import { shopService } from "./shopService.ts";

const lookMs = 2000;

interface Place {
  readonly client: string;
  readonly cell: string;
  readonly title: string;
  readonly notebook: string;
}

/** On a device with a camera: a photograph goes straight into a photo cell that is open on the computer. */
@customElement("bole-photograph")
export class PhotographSheet extends Panel {
  @state() private places: readonly Place[] | undefined;
  @state() private told = "";
  @state() private busy = false;
  #chosen: Place | undefined;
  #timer: ReturnType<typeof setInterval> | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    void this.attempt(() => this.#look());
    this.#timer = setInterval(() => {
      if (!document.hidden && !this.busy) void this.#look().catch(() => undefined); // looked for again in a moment
    }, lookMs);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearInterval(this.#timer);
  }

  async #look(): Promise<void> {
    const open = await shopService.places();
    this.places = open.flatMap(({ client, notebook, cells }) =>
      cells.map(({ id, title }) => ({ client, cell: id, title, notebook })),
    );
  }

  protected override render() {
    return html`<section aria-labelledby="photograph">
      <h2 id="photograph">Take a photograph</h2>
      ${
        this.places?.length === 0
          ? html`<p>Open a cell <em>Colour from a photograph</em> on the computer: what you photograph here goes into it.</p>`
          : nothing
      }
      <div class="row">
        ${this.places?.map(
          (place) => html`<button ?disabled=${this.busy} @click=${() => this.#choose(place)}>
            Take a photograph for “${place.title}” <span class="soft">in ${place.notebook}</span>
          </button>`,
        )}
      </div>
      <input type="file" accept="image/*" capture="environment" hidden aria-label="Photograph" @change=${this.#taken} />
      <p role="status">${this.busy ? "Sending the photograph …" : this.told}</p>
      ${this.troubleLine()}
    </section>`;
  }

  #choose(place: Place): void {
    this.#chosen = place;
    this.renderRoot.querySelector<HTMLInputElement>("input")?.click();
  }

  readonly #taken = async (event: Event): Promise<void> => {
    const input = event.target as HTMLInputElement;
    const file = input.files?.[0];
    const place = this.#chosen;
    if (!file || !place) return;
    this.busy = true;
    this.trouble = "";
    this.told = "";
    try {
      await shopService.hand(place.client, place.cell, await keepPicture(file, file.name || "photograph"));
      this.told = `The photograph is in “${place.title}” on the computer.`;
    } catch (error) {
      this.trouble = messageOf(error);
    } finally {
      this.busy = false;
      input.value = "";
    }
  };

  static override styles = [
    Panel.styles,
    css`
      :host {
        display: block;
        margin-block: 0 24px;
      }
      section {
        padding: 14px 18px;
        border: 1.5px solid var(--bole-line);
        border-radius: var(--bole-radius);
        background: var(--bole-paper);
      }
      .soft {
        font-weight: 400;
        color: var(--bole-ink-soft);
      }
      [hidden] {
        display: none;
      }
    `,
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-photograph": PhotographSheet;
  }
}
