import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import { reflectanceChart } from "../../src/charts/reflectanceChart.ts";
import { residualChart } from "../../src/charts/residualChart.ts";
import { seenFromMeasured } from "../../src/coating/eye.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { saveText } from "../../src/controls/saveFile.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { componentToSave, type PigmentSet } from "../../src/ports/pigmentSet.ts";
import type { DrawdownReport } from "../../src/solve/calibration/result.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { type Calibration, calibration } from "./define.ts";
import { keptDrawdowns } from "./defineDrawdowns.ts";
import "./drawdownTable.ts";
import { worksheetHtml, worksheetSteps } from "./worksheet.ts";

const tag = "bole-view-calibration";
export default tag;

const grid = wavelengths(workingGrid);

@customElement(tag)
export class CalibrationView extends CellView<
  Calibration,
  ParameterValues<typeof calibration.parameters>,
  { pigments: PigmentSet }
> {
  @state() private trouble = "";
  @state() private chosen = 0;
  #drawn:
    | {
        value: Calibration;
        chosen: number;
        curves: ChartDraw;
        residuals: ChartDraw;
        fit: ChartDraw | undefined;
      }
    | undefined;

  protected override render() {
    const field = (name: keyof typeof calibration.parameters) =>
      parameterField(this, calibration.parameters, name);
    const { drawdowns } = this.parameters;
    return html`
      ${this.value && this.outcome.status === "ok" ? this.#verdict(this.value) : nothing}
      <bole-file
        label="Drawdowns (CSV)"
        accept=".csv,.txt,.tsv"
        .maxBytes=${10_000_000}
        hint="One row for each reading: label, ground, amounts, thickness, then one column for each wavelength."
        @file=${(event: CustomEvent<{ name: string; text: string }>) => this.#read(event.detail)}
      ></bole-file>
      ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble} field="Drawdowns"><p>What was loaded before stays.</p></bole-message>` : nothing}
      <details ?open=${!drawdowns}>
        <summary>What to draw down, and why</summary>
        <ol>
          ${worksheetSteps.map(({ what, why }) => html`<li><strong>${what}</strong> ${why}</li>`)}
        </ol>
        <button @click=${() => saveText("drawdown-worksheet.html", worksheetHtml(this.parameters.name), "text/html")}>
          Save the worksheet for printing
        </button>
      </details>
      ${
        drawdowns
          ? html`<bole-drawdown-table
              .drawdowns=${drawdowns}
              .result=${this.value?.result}
              @bole-drawdowns=${(event: CustomEvent) => this.set({ drawdowns: event.detail, refits: null })}
            ></bole-drawdown-table>`
          : nothing
      }
      ${this.value ? this.#pictures(this.value) : nothing}
      <details>
        <summary>The paste</summary>
        <div class="fields">
          ${(["name", "colourIndex", "density", "volumeSolids", "by", "when"] as const).map(field)}
        </div>
      </details>
      <details>
        <summary>How it is computed</summary>
        <div class="fields">
          ${(["noise", "smooth", "outliers", "estimateK2", "externalReflection", "internalReflection"] as const).map(field)}
        </div>
        <p class="soft">${this.value ? this.#figures(this.value) : nothing}</p>
      </details>
    `;
  }

  #read({ name, text }: { name: string; text: string }): void {
    this.trouble = "";
    try {
      const file = readDrawdownFile(text, name);
      const { paste, density, volumeSolids, colourIndex } = file.settings;
      this.set({
        drawdowns: keptDrawdowns(file),
        refits: null,
        ...(paste ? { name: paste.slice(0, 120) } : {}),
        ...(density === undefined ? {} : { density }),
        ...(volumeSolids === undefined ? {} : { volumeSolids: Math.round(volumeSolids * 1000) / 10 }),
        ...(colourIndex ? { colourIndex: colourIndex.slice(0, 40) } : {}),
      });
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  #verdict({ result, component, withoutComponent, predicts, pigments }: Calibration) {
    const words = {
      accepted: "The data suffice.",
      "accepted with cautions": "Usable, with cautions.",
      refused: "The data do not suffice.",
    }[result.status];
    const inSet = component && pigments.components.some((other) => other.id === component.id);
    return html`
      <p class="verdict">
        <strong>${words}</strong>
        ${predicts === undefined ? nothing : html` A drawdown is predicted from the others within ΔE00 ${differenceText(predicts)} (median).`}
      </p>
      <ul class="findings">
        ${result.findings.map(({ severity, text }) => html`<li class=${severity}><strong>${{ refused: "Refused", caution: "Caution", note: "Note" }[severity]}:</strong> ${text}</li>`)}
      </ul>
      ${
        component
          ? html`<button class="act" @click=${() => this.#add(component)}>
              ${inSet ? `Renew “${component.name}” in ${pigments.name}` : `Add “${component.name}” to ${pigments.name}`}
            </button>`
          : html`<p class="soft">No component comes of it yet: ${withoutComponent}.</p>`
      }
    `;
  }

  #add(component: NonNullable<Calibration["component"]>): void {
    const { cell, added } = this.value!.pigments;
    const others = added.filter((other) => other.id !== component.id);
    this.setElsewhere(cell, { added: [...others, componentToSave(component)] });
  }

  #pictures(value: Calibration) {
    const { result, comparison, pigments } = value;
    if (!result.curves) return nothing;
    const drawn = this.#draw(value);
    const report = result.drawdowns[this.chosen] ?? result.drawdowns[0];
    return html`
      <bole-chart
        label="K and S with their 90 % bands"
        .summary=${`Absorption and scattering per ${result.thicknessUnit} of dry film; the grey bands are from ${value.bands?.from ?? "the fit"}.`}
        .draw=${drawn.curves}
        .height=${360}
      ></bole-chart>
      <button ?disabled=${this.acting === "refit"} @click=${() => this.act("refit")}>${calibration.actions?.refit.label}</button>
      <div class="fields">
        <bole-choice
          label="Compare with"
          .options=${[{ value: "", label: "nothing" }, ...pigments.components.filter((c) => c.role === "paste").map((c) => ({ value: c.id, label: c.name }))]}
          .value=${this.parameters.compareWith}
          @change=${(event: CustomEvent<{ value: string }>) => this.set({ compareWith: event.detail.value })}
        ></bole-choice>
        ${
          comparison
            ? html`<p>
                Against ${comparison.with}: relative tinting strength <strong>${percentText(comparison.figures.strength)}</strong>${
                  comparison.figures.strengthSigma === undefined
                    ? nothing
                    : html` ± ${percentText(comparison.figures.strengthSigma)}`
                }; masstone ΔE00 ${differenceText(comparison.figures.masstone.deltaE)}, let down with white ΔE00
                ${differenceText(comparison.figures.tint.deltaE)}, at equal strength ${differenceText(comparison.figures.tintAtEqualStrength)}.
              </p>`
            : nothing
        }
      </div>
      <bole-choice
        label="Look at a drawdown"
        .options=${result.drawdowns.map((drawdown, index) => ({ value: String(index), label: drawdown.used ? drawdown.label : `${drawdown.label} (set aside)` }))}
        .value=${String(this.chosen)}
        @change=${(event: CustomEvent<{ value: string }>) => (this.chosen = Number(event.detail.value))}
      ></bole-choice>
      ${report ? this.#panels(value, report) : nothing}
      ${drawn.fit ? html`<bole-chart label=${`${report.label}: measured and fitted`} summary="Full lines as measured, dashed as fitted." .draw=${drawn.fit}></bole-chart>` : nothing}
      <bole-chart
        label="What the fit leaves over"
        summary="Each row is a reading. A row of one tone speaks of a wrong thickness or label; a pattern that all rows share, of the surface constants."
        .draw=${drawn.residuals}
        .height=${Math.max(180, 60 + 24 * result.drawdowns.reduce((sum, { readings }) => sum + readings.length, 0))}
      ></bole-chart>
    `;
  }

  #panels({ viewing }: Calibration, report: DrawdownReport) {
    const see = (values: Float64Array, specular: "included" | "excluded") =>
      seenFromMeasured(values, specular, { weights: viewing.weights, surface: viewing.surface, sheen: 0.25 });
    return html`<div class="panels">
      ${report.readings.map((reading) => {
        const predicted = reading.predicted ?? reading.fitted;
        return panel(
          {
            label: `${report.label} over ${reading.ground}`,
            subLabel:
              reading.deltaE === undefined
                ? ""
                : `predicted from the others: ΔE00 ${differenceText(reading.deltaE)}`,
            targetLabel: "measured",
            sampleLabel: reading.predicted ? "predicted" : "fitted",
          },
          see(predicted, reading.specular).XYZ,
          viewing,
          see(reading.measured, reading.specular).XYZ,
        );
      })}
    </div>`;
  }

  #draw(value: Calibration) {
    const { chosen } = this;
    if (this.#drawn?.value === value && this.#drawn.chosen === chosen) return this.#drawn;
    const { result, bands, pigments } = value;
    const curves = result.curves!;
    const other = pigments.components.find((component) => component.id === this.parameters.compareWith);
    const band = (which: "absorption" | "scattering") =>
      bands && { low: bands.low[which], high: bands.high[which] };
    const report = result.drawdowns[chosen] ?? result.drawdowns[0];
    const rows = result.drawdowns.flatMap(({ label, readings }) =>
      readings.map((reading) => ({
        label: `${label}, ${reading.ground}`,
        values: reading.fitted.map((fitted, i) => fitted - reading.measured[i]),
      })),
    );
    this.#drawn = {
      value,
      chosen,
      curves: (Plot, size) =>
        curvesChart(
          Plot,
          {
            x: grid,
            xLabel: "Wavelength, nm",
            yLabel: result.thicknessUnit === "µm" ? "1/µm of dry film" : "per laid amount",
            logarithmic: true,
            curves: [
              { label: "K, absorption", y: curves.absorption, band: band("absorption"), emphasis: true },
              { label: "S, scattering", y: curves.scattering, band: band("scattering"), emphasis: true },
              ...(other
                ? [
                    { label: `K of ${other.name}`, y: other.absorption },
                    { label: `S of ${other.name}`, y: other.scattering },
                  ]
                : []),
            ],
          },
          size,
        ),
      fit:
        report &&
        ((Plot, size) =>
          reflectanceChart(
            Plot,
            {
              wavelengths: grid,
              curves: report.readings.flatMap(({ ground, measured, fitted }) => [
                {
                  label: `${ground}, measured`,
                  values: measured,
                  colour: "var(--bole-ink)",
                  role: "target" as const,
                },
                {
                  label: `${ground}, fitted`,
                  values: fitted,
                  colour: "var(--bole-ink-soft)",
                  role: "film" as const,
                },
              ]),
            },
            size,
          )),
      residuals: (Plot, size) => residualChart(Plot, { wavelengths: grid, rows }, size),
    };
    return this.#drawn;
  }

  #figures({ result }: Calibration): string {
    return [
      `${result.search.steps} steps to the answer`,
      `${result.rank} of ${result.unknowns} shared unknowns settled`,
      `noise found ${result.noiseScale.toFixed(2)} times the stated one`,
      `k2 ${result.k2.value.toFixed(3)}${result.k2.sigma > 0 ? ` ± ${result.k2.sigma.toFixed(3)}` : ", as stated"}`,
    ].join("; ");
  }

  static override styles = [
    ...viewStyles,
    css`
      .findings {
        padding-left: 1.2rem;
        max-width: 80ch;
      }
      .findings li {
        margin-block: 4px;
      }
      .findings .refused,
      .findings .caution {
        font-weight: 500;
      }
      .act {
        font-size: 1.1rem;
      }
      bole-file,
      bole-choice,
      bole-chart {
        margin-block: 14px;
      }
    `,
  ];
}
