import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { seenFromMeasured } from "../../src/coating/eye.ts";
import { measureText, shownUnit, toShown } from "../../src/coating/units.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { measureField } from "../../src/controls/measureField.ts";
import { LabText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/spectrumInput.ts";
import type { KeptSpectrum } from "../../src/controls/spectrumInput.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { readSpectraTask } from "../../src/exchange/longTasks.ts";
import { readSpectra } from "../../src/exchange/readSpectra.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { substrate } from "./define.ts";

const tag = "bole-view-substrate";
export default tag;

@customElement(tag)
export class SubstrateView extends CellView<Substrate, ParameterValues<typeof substrate.parameters>> {
  protected override render() {
    const field = (name: keyof typeof substrate.parameters) =>
      parameterField(this, substrate.parameters, name);
    const { spectrum } = this.parameters;
    return html`
      ${this.verdictLine(false)}
      <div class="fields">
        ${this.value ? this.#panel(this.value) : nothing} ${this.#size()} ${field("count")}
      </div>
      <details>
        <summary>Shape, grain, material</summary>
        <div class="fields">${field("shape")} ${field("textureFactor")} ${field("material")} ${field("units")}</div>
      </details>
      <details>
        <summary>${spectrum ? `Measured: ${spectrum.label}` : "Its colour"}</summary>
        <div class="fields">
          ${
            spectrum
              ? html`<button @click=${() => this.set({ spectrum: null })}>Forget the spectrum, use a plain grey</button>`
              : field("grey")
          }
          ${field("specular")} ${field("externalReflection")} ${field("internalReflection")}
          <div class="wide">
            <bole-spectrum-input
              label="Measured spectrum of the part"
              stays="The part stays as it was."
              .reader=${{ task: readSpectraTask, inPlace: (name: string, text: string) => readSpectra(text, name) }}
              @spectrum=${(event: CustomEvent<{ spectrum: KeptSpectrum }>) => this.set({ spectrum: event.detail.spectrum })}
            ></bole-spectrum-input>
          </div>
        </div>
      </details>
    `;
  }

  /** The measures that the chosen shape asks for, in the units they are typed in. */
  #size() {
    const { shape, units } = this.parameters;
    const names = {
      area: ["area"],
      rectangle: ["width", "length"],
      disc: ["width"],
      cushion: ["width", "length", "height"],
      roll: ["width", "length"],
    } as const;
    return names[shape].map((name) => {
      if (units === "metric") return parameterField(this, substrate.parameters, name);
      const quantity = name === "area" ? "area" : "length";
      const { unit, digits } = shownUnit(quantity, units);
      return measureField(this, substrate.parameters, name, {
        unit,
        digits: Math.max(2, digits),
        // Lengths are kept in cm.
        factor: toShown(name === "area" ? 1 : 0.01, quantity, units),
      });
    });
  }

  #panel(value: Substrate) {
    const weights = weightsFor("1964-10", "D65");
    const { XYZ, Lab } = seenFromMeasured(value.measured, "included", {
      weights,
      surface: { externalReflection: this.parameters.externalReflection, internalReflection: 0 },
      sheen: 0.25,
    });
    const { units } = this.parameters;
    const text = (area: number) => measureText(area, "area", units);
    const surface = value.area * value.count * value.textureFactor;
    const grain = value.textureFactor > 1 ? ` × ${value.textureFactor.toFixed(2)}` : "";
    return panel(
      { label: `${value.count} × ${text(value.area)}${grain} = ${text(surface)}`, subLabel: LabText(Lab) },
      XYZ,
      { weights, gamut: "srgb" },
    );
  }

  static override styles = viewStyles;
}
