import { css, html, nothing, svg } from "lit";
import { customElement, state } from "lit/decorators.js";
import { encode } from "uqr";
import type { ShopState } from "../document/served.ts";
import { plural } from "../words/plural.ts";
import { Panel } from "./panel.ts";
import { type ShopAnswer, shopService } from "./shopService.ts";
import { timeWords } from "./timeWords.ts";

const lookMs = 1000;

/** The devices that are let into the notebooks: pair one, say yes or no, send one away. */
@customElement("bole-devices")
export class DevicesSheet extends Panel {
  @state() private answer: ShopAnswer | undefined;
  /** Which of the addresses the camera is shown. */
  @state() private place = 0;
  #timer: ReturnType<typeof setInterval> | undefined;

  override connectedCallback(): void {
    super.connectedCallback();
    void this.#ask(shopService.state);
    this.#timer = setInterval(() => {
      if (this.answer?.shop && !document.hidden) void this.#look();
    }, lookMs);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearInterval(this.#timer);
  }

  #ask(work: () => Promise<ShopAnswer>): Promise<void> {
    return this.attempt(async () => {
      this.answer = await work();
    });
  }

  /** What cannot be read now is read in a moment. */
  async #look(): Promise<void> {
    try {
      this.answer = await shopService.state();
    } catch {}
  }

  protected override render() {
    const { answer } = this;
    return html`
      <h2>Devices</h2>
      ${this.troubleLine()}
      ${answer ? (answer.device ? this.#onDevice(answer.device.name) : answer.shop ? this.#open(answer.shop) : this.#closed()) : nothing}
    `;
  }

  #closed() {
    return html`<p>
      The notebooks are for this computer alone. To let in the tablet at the spray bench or the phone with the camera, stop
      Bole and start it with the option <code>--shop-network</code>.
    </p>`;
  }

  #onDevice(name: string) {
    return html`<p>This device is let in as “${name}”. Devices are let in and sent away at the computer.</p>
      ${this.#authority()}`;
  }

  #open(shop: ShopState) {
    return html`
      <p>
        ${shop.places.map(({ place, reach }) => html`Open at <strong>${place}</strong>, for ${reach}. `)} Who is in the same
        network sees that Bole is there, and nothing of the notebooks.
      </p>
      ${shop.asking.map(
        ({ id, name, from, mark }) => html`<div class="asking" role="alert">
          <p>
            “${name}” at ${from} wants to be let in. It has to show the number <strong class="mark">${mark}</strong>.
          </p>
          <div class="row">
            <button @click=${() => this.#ask(() => shopService.decide(id, true))}>Let “${name}” in</button>
            <button @click=${() => this.#ask(() => shopService.decide(id, false))}>Turn “${name}” away</button>
          </div>
        </div>`,
      )}
      ${shop.offer ? this.#offer(shop, shop.offer) : html`<button @click=${() => this.#ask(shopService.offer)}>Pair a device</button>`}
      <h3>Let in</h3>
      ${shop.devices.length === 0 ? html`<p>No device yet.</p>` : nothing}
      <ul class="list">
        ${shop.devices.map(
          ({ id, name, since, here }) => html`<li>
            <span>${name}, since ${timeWords(since)}${here ? ", looking now" : ""}</span>
            <button aria-label=${`Send ${name} away`} @click=${() => this.#ask(() => shopService.sendAway(id))}>
              Send away
            </button>
          </li>`,
        )}
      </ul>
      <details>
        <summary>Fingerprints, and the end of the warnings</summary>
        <p>SHA-256 fingerprint of the certificate. The browser of the device has to show the same:</p>
        <p class="print">${shop.fingerprint}</p>
        ${this.#authority()}
        <p>SHA-256 fingerprint of the authority:</p>
        <p class="print">${shop.authorityFingerprint}</p>
      </details>
    `;
  }

  #offer({ places, fingerprint }: ShopState, { code, left, links }: NonNullable<ShopState["offer"]>) {
    const chosen = Math.min(this.place, links.length - 1);
    return html`<div class="offer">
      ${qrPicture(links[chosen])}
      <div>
        ${
          links.length > 1
            ? html`<label for="place">At the address</label>
                <select id="place" @change=${(event: Event) => (this.place = (event.target as HTMLSelectElement).selectedIndex)}>
                  ${places.map(({ place }, i) => html`<option ?selected=${i === chosen}>${place}</option>`)}
                </select>`
            : nothing
        }
        <p>
          Point the camera of the device here, or open <strong>${places[chosen].place}</strong> there and type the code.
        </p>
        <p class="code" aria-label="Code">${code.slice(0, 3)} ${code.slice(3)}</p>
        <p>Good once, for another ${plural(Math.ceil(left / 1000), "second")}.</p>
        <p>
          The device will warn that it does not know the certificate. Go on only when its SHA-256 fingerprint there is
        </p>
        <p class="print">${fingerprint}</p>
        <button @click=${() => this.#ask(shopService.endOffer)}>Close</button>
      </div>
    </div>`;
  }

  #authority() {
    return html`<p>
      A device on which <a href="/authority.crt" download>the authority of this computer</a> is installed warns no more. It
      vouches for addresses of private networks only; whoever has the key, which this account keeps, could still stand in for
      such an address. Compare its fingerprint before you install it, and remove it when you no longer use it.
    </p>`;
  }

  static override styles = [
    Panel.styles,
    css`
      h3 {
        margin: 16px 0 6px;
        font-size: 1.05rem;
      }
      .asking {
        border: 3px solid var(--bole-ink);
        border-radius: var(--bole-radius);
        padding: 12px 14px;
        margin-block-end: 12px;
      }
      .mark,
      .code {
        font-size: 1.6rem;
        font-weight: 700;
        font-variant-numeric: tabular-nums;
        letter-spacing: 0.08em;
      }
      .offer {
        display: flex;
        flex-wrap: wrap;
        gap: 16px;
      }
      .offer > div {
        flex: 1 1 18rem;
      }
      .offer svg {
        inline-size: min(100%, 17rem);
        block-size: auto;
        background: #fff;
        border-radius: var(--bole-radius);
      }
      .print {
        font-family: ui-monospace, monospace;
        overflow-wrap: anywhere;
      }
      strong {
        overflow-wrap: anywhere;
      }
    `,
  ];
}

/** A picture for the camera, with the white edge of four modules that readers need. Source: ISO/IEC 18004, 9.1 (from memory). */
function qrPicture(link: string) {
  const { data, size } = encode(link, { ecc: "M", border: 4 });
  const path = data.flatMap((row, y) => row.map((dark, x) => (dark ? `M${x} ${y}h1v1h-1z` : ""))).join("");
  return html`<svg viewBox=${`0 0 ${size} ${size}`} role="img" aria-label="Address for the camera" shape-rendering="crispEdges">
    ${svg`<path fill="#000" d=${path}></path>`}
  </svg>`;
}

declare global {
  interface HTMLElementTagNameMap {
    "bole-devices": DevicesSheet;
  }
}
