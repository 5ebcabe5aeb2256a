import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { type ReflectanceData, reflectanceChart } from "../../src/charts/reflectanceChart.ts";
import { seenFromMeasured } from "../../src/coating/eye.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { LabToXYZ } from "../../src/colour/Lab.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { LabText } from "../../src/controls/numbers.ts";
import { panel, screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/spectrumInput.ts";
import type { KeptSpectrum } from "../../src/controls/spectrumInput.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Target } from "../../src/ports/target.ts";
import { readSpectrumCsv } from "../../src/tables/spectrumFile.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { target } from "./define.ts";

const tag = "bole-view-target";
export default tag;

const grid = wavelengths(workingGrid);
const surface = { externalReflection: 0.04, internalReflection: 0.6 };

@customElement(tag)
export class TargetView extends CellView<Target, ParameterValues<typeof target.parameters>> {
  #chart: { value: Target; draw: ChartDraw } | undefined;

  protected override render() {
    const { source } = this.parameters;
    const field = (name: keyof typeof target.parameters) => parameterField(this, target.parameters, name);
    return html`
      <div class="fields">${field("source")} ${field("specular")}</div>
      ${source === "spectrum" ? this.#spectrum() : html`<div class="fields">${(["L", "a", "b", "illuminant", "observer"] as const).map(field)}</div>`}
      ${this.value ? this.#shown(this.value) : nothing}
    `;
  }

  #spectrum() {
    const { spectrum } = this.parameters;
    return html`
      ${spectrum ? html`<p>Loaded: <strong>${spectrum.label}</strong>${spectrum.origin ? html` <span class="soft">(${spectrum.origin})</span>` : nothing}</p>` : nothing}
      <bole-spectrum-input
        label="Measured spectrum (CSV)"
        stays="The target stays as it was."
        .read=${readSpectrumCsv}
        @spectrum=${(event: CustomEvent<{ spectrum: KeptSpectrum }>) => this.set({ source: "spectrum", spectrum: event.detail.spectrum })}
      ></bole-spectrum-input>
    `;
  }

  #shown(value: Target) {
    const seen = this.#seen(value);
    return html`
      <div class="panels">
        ${panel({ label: "As measured", subLabel: LabText(seen.Lab) }, seen.XYZ, { weights: seen.weights, gamut: "srgb" })}
      </div>
      ${
        value.kind === "spectrum"
          ? html`<bole-chart
              label="Reflectance of the target"
              .summary=${`Measured reflectance from ${grid[0]} to ${grid[grid.length - 1]} nm, ${LabText(seen.Lab)} in daylight D65`}
              .draw=${this.#draw(value, seen.XYZ, seen.weights)}
            ></bole-chart>`
          : nothing
      }
    `;
  }

  #draw(
    value: Target & { kind: "spectrum" },
    XYZ: Float64Array,
    weights: { white: ArrayLike<number> },
  ): ChartDraw {
    if (this.#chart?.value !== value) {
      const data: ReflectanceData = {
        wavelengths: grid,
        curves: [
          {
            label: "target as measured",
            values: value.reflectance,
            colour: screenColour(XYZ, { weights, gamut: "srgb" }).css,
            role: "target",
          },
        ],
      };
      this.#chart = { value, draw: (Plot, size) => reflectanceChart(Plot, data, size) };
    }
    return this.#chart.draw;
  }

  /** The reading itself, as measured, in daylight; the viewing cell has its own light and sheen. */
  #seen(value: Target) {
    if (value.kind === "spectrum") {
      const weights = weightsFor("1964-10", "D65");
      const seen = seenFromMeasured(value.reflectance, "included", { weights, surface, sheen: 1 });
      return { ...seen, weights };
    }
    const weights = weightsFor(value.observer as "1964-10", value.illuminant);
    const XYZ = new Float64Array(3);
    LabToXYZ(value.Lab, weights.white, XYZ);
    return { XYZ, Lab: value.Lab, weights };
  }

  static override styles = viewStyles;
}
