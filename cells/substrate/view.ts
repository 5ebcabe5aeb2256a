import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { seenFromMeasured } from "../../src/coating/eye.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { LabText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/spectrumInput.ts";
import type { KeptSpectrum } from "../../src/controls/spectrumInput.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import { readSpectrumCsv } from "../../src/tables/spectrumFile.ts";
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
      <div class="fields">
        ${this.value ? this.#panel(this.value) : nothing} ${field("area")} ${field("count")}
      </div>
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
              label="Measured spectrum of the part (CSV)"
              stays="The part stays as it was."
              .read=${readSpectrumCsv}
              @spectrum=${(event: CustomEvent<{ spectrum: KeptSpectrum }>) => this.set({ spectrum: event.detail.spectrum })}
            ></bole-spectrum-input>
          </div>
        </div>
      </details>
    `;
  }

  #panel(value: Substrate) {
    const weights = weightsFor("1964-10", "D65");
    const { XYZ, Lab } = seenFromMeasured(value.measured, "included", {
      weights,
      surface: { externalReflection: this.parameters.externalReflection, internalReflection: 0 },
      sheen: 0.25,
    });
    const area = value.area * value.count;
    return panel(
      { label: `${value.count} × ${value.area} m² = ${Number(area.toFixed(3))} m²`, subLabel: LabText(Lab) },
      XYZ,
      { weights, gamut: "srgb" },
    );
  }

  static override styles = viewStyles;
}
