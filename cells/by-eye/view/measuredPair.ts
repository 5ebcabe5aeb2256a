import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import "../../../src/controls/colourInput.ts";
import type { TakenColours } from "../../../src/controls/colourInput.ts";
import { emit } from "../../../src/controls/emit.ts";
import { LabText } from "../../../src/controls/numbers.ts";
import { viewStyles } from "../../../src/controls/viewStyles.ts";
import type { ColourSample } from "../../../src/exchange/colourSample.ts";
import { colourReader, typedLab } from "../../../src/exchange/lazyReaders.ts";
import { previewOf } from "../../../src/exchange/preview.ts";
import { messageOf } from "../../../src/graph/messageOf.ts";
import type { EyePair } from "../../../src/ports/eyePanels.ts";
import type { Viewing } from "../../../src/ports/viewing.ts";
import { lightOptions } from "../../../src/tables/illuminants.ts";
import { seenReading } from "./taken.ts";

type Measured = Pick<EyePair, "panel" | "reference">;

/**
 * A judged panel and its reference, both read since: that tells how sharp the eye is.
 *
 * @fires pair - CustomEvent<Measured> when both were read; the reference stays for the next panel
 */
@customElement("bole-measured-pair")
export class MeasuredPair extends LitElement {
  /** name of the panel */
  @property() panel = "panel";
  @property({ attribute: false }) viewing!: Viewing;
  @state() private read: Partial<Measured> = {};
  @state() private trouble = "";

  protected override render() {
    return html`
      ${this.#place("panel", `Colour of ${this.panel}`)} ${this.#place("reference", "Colour of the reference")}
      <div aria-live="polite">
        ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble}></bole-message>` : nothing}
      </div>
    `;
  }

  #place(which: keyof Measured, label: string) {
    const { [which]: Lab } = this.read;
    return html`<bole-colour-input
        .label=${label}
        stays="Nothing is added to what is known of this eye."
        .reader=${colourReader}
        .readText=${typedLab}
        .preview=${previewOf}
        .lights=${lightOptions}
        @colours=${(event: CustomEvent<TakenColours<ColourSample>>) => this.#take(which, event.detail)}
      ></bole-colour-input>
      ${Lab ? html`<p>${label}, as the eye saw it: ${LabText(Lab)}</p>` : nothing}`;
  }

  #take(which: keyof Measured, taken: TakenColours<ColourSample>): void {
    this.trouble = "";
    try {
      this.read = { ...this.read, [which]: seenReading(taken, this.viewing) };
    } catch (error) {
      this.trouble = messageOf(error);
      return;
    }
    const { panel, reference } = this.read;
    if (!panel || !reference) return;
    emit<Measured>(this, "pair", { panel, reference });
    this.read = { reference };
  }

  static override styles = [
    ...viewStyles,
    css`
      :host {
        display: block;
      }
    `,
  ];
}
