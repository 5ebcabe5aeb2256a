import "../../../src/controls/boleChart.ts";
import { css, html, LitElement, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import type { QuickReport } from "../../../src/calibration/quickProblem.ts";
import type { DrawdownReport } from "../../../src/calibration/result.ts";
import { settledWords } from "../../../src/calibration/settled.ts";
import { seenFromMeasured } from "../../../src/coating/eye.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import { LabToXYZ } from "../../../src/colour/Lab.ts";
import { emit } from "../../../src/controls/emit.ts";
import { differenceText } from "../../../src/controls/numbers.ts";
import { panel } from "../../../src/controls/panelColour.ts";
import { viewStyles } from "../../../src/controls/viewStyles.ts";
import { coefficientTable } from "../../../src/drawdowns/coefficientTable.ts";
import { weightsFor } from "../../../src/tables/weights.ts";
import type { Calibration } from "../define.ts";
import { drawAll } from "./drawings.ts";
import { comparisonWords } from "./words.ts";

const grid = wavelengths(workingGrid);

/**
 * Pictures of a calibration: K and S with their bands, where they are settled, the comparison with another paste, each
 * drawdown measured and predicted, and what the fit leaves over.
 * Events: `bole-refit`, `bole-compare` (id of a component).
 */
@customElement("bole-calibration-findings")
export class CalibrationFindings extends LitElement {
  @property({ attribute: false }) value!: Calibration;
  @property() compareWith = "";
  /** light and observer of colours that were read */
  @property({ attribute: false }) read!: { illuminant: string; observer: "1964-10" | "1931-2" };
  @property({ type: Boolean }) refitting = false;
  @state() private chosen = "";
  #drawn: { key: readonly unknown[]; charts: ReturnType<typeof drawAll> } | undefined;

  protected override render() {
    const { value } = this;
    const { curves, spectral, quick, bands } = value;
    if (!curves) return nothing;
    const reports: readonly (DrawdownReport | QuickReport)[] = spectral?.drawdowns ?? quick?.drawdowns ?? [];
    const report = reports.find(({ label }) => label === this.chosen) ?? worst(reports);
    const drawn = this.#draw(value, report);
    const refused = value.status === "refused";
    return html`
      <bole-chart
        label=${refused ? "K and S as far as they came out (not to be used)" : "K and S with their 90 % bands"}
        .summary=${`Absorption and scattering ${value.thicknessUnit === "µm" ? "per µm of dry film" : "per unit of the laid amount"}; ${bands ? `the grey bands are from ${bands.from}` : "what is not settled has no bands"}.`}
        .draw=${drawn.curves}
        .table=${() => coefficientTable(value)}
        .height=${360}
      ></bole-chart>
      ${curves.status ? html`<p>${settledWords(curves.status, grid)}</p>` : nothing}
      ${drawn.settled ? html`<bole-chart label="What the drawdowns settle" summary="A bar where the statement at its left holds." .draw=${drawn.settled} .height=${220}></bole-chart>` : nothing}
      ${this.#refits(value)} ${refused ? nothing : this.#comparison(value)}
      ${
        report
          ? html`<h3>Measured against predicted</h3>
              <bole-choice
                label="Look at a drawdown"
                .options=${reports.map((one) => ({ value: one.label, label: "used" in one && !one.used ? `${one.label} (set aside)` : one.label }))}
                .value=${report.label}
                @change=${(event: CustomEvent<{ value: string }>) => (this.chosen = event.detail.value)}
              ></bole-choice>
              ${"rms" in report ? this.#panels(value, report) : this.#colourPanels(value, report)}
              ${drawn.fit ? html`<bole-chart label=${`${report.label}: measured and fitted`} summary="Full lines as measured, dashed as fitted." .draw=${drawn.fit}></bole-chart>` : nothing}`
          : nothing
      }
      ${
        drawn.residuals && spectral
          ? html`<bole-chart
              label="What the fit leaves over"
              .summary=${`Each row is a reading. Mid grey: nothing; black: fitted too dark, white: fitted too light, by ${(100 * drawn.residuals.most).toFixed(1)} % reflectance. A row of one tone speaks of a wrong thickness or label; a pattern that all rows share, of the surface constants.`}
              .draw=${drawn.residuals.draw}
              .height=${Math.max(180, 60 + 24 * spectral.drawdowns.reduce((sum, { readings }) => sum + readings.length, 0))}
            ></bole-chart>`
          : nothing
      }
    `;
  }

  #refits({ spectral, status, refitsAreOld }: Calibration) {
    if (!spectral || status === "refused") return nothing;
    return html`<div class="refits">
      <button ?disabled=${this.refitting} @click=${() => emit(this, "bole-refit", undefined)}>
        ${this.refitting ? "Refitting …" : "Check the error bars by 200 refits"}
      </button>
      ${refitsAreOld ? html`<p class="soft">The last refits were made for other drawdowns or settings; the bands shown are from the fit.</p>` : nothing}
    </div>`;
  }

  #comparison({ comparison, pigments, component, viewing }: Calibration) {
    const pastes = pigments.components.filter(({ role, id }) => role === "paste" && id !== component?.id);
    const figures = comparison?.figures;
    const pair = (label: string, sides: { existing: Float64Array; fresh: Float64Array }) => {
      const XYZ = (Lab: Float64Array) => LabToXYZ(Lab, viewing.weights.white, new Float64Array(3));
      return panel(
        { label, targetLabel: "existing", sampleLabel: "new" },
        XYZ(sides.fresh),
        viewing,
        XYZ(sides.existing),
      );
    };
    return html`<h3>Beside a paste you know</h3>
      <bole-choice
        label="Compare with"
        .options=${[{ value: "", label: "nothing" }, ...pastes.map(({ id, name }) => ({ value: id, label: name }))]}
        .value=${this.compareWith}
        @change=${(event: CustomEvent<{ value: string }>) => emit(this, "bole-compare", event.detail.value)}
      ></bole-choice>
      ${
        comparison
          ? html`${comparisonWords(comparison, component?.name ?? "It").map((text) => html`<p>${text}</p>`)}
              ${figures ? html`<div class="panels">${pair("By itself, hiding", figures.masstone)}${pair("5 % in white", figures.tint)}</div>` : nothing}`
          : nothing
      }`;
  }

  #panels({ viewing }: Calibration, { label, readings }: DrawdownReport) {
    const see = (values: Float64Array, specular: "included" | "excluded") =>
      seenFromMeasured(values, specular, viewing).XYZ;
    const pairs = readings.map(({ ground, specular, measured, fitted, predicted, deltaE }) =>
      panel(
        {
          label: `${label} over ${ground}`,
          subLabel: deltaE === undefined ? "" : `predicted from the others: ${deltaE00(deltaE)}`,
          targetLabel: "measured",
          sampleLabel: predicted ? "predicted" : "fitted",
        },
        see(predicted ?? fitted, specular),
        viewing,
        see(measured, specular),
      ),
    );
    return html`<div class="panels">${pairs}</div>`;
  }

  #colourPanels({ viewing }: Calibration, { label, readings, leaveOneOut }: QuickReport) {
    const { white } = weightsFor(this.read.observer, this.read.illuminant);
    const seen = { weights: { white }, gamut: viewing.gamut };
    const XYZ = (Lab: Float64Array) => LabToXYZ(Lab, white, new Float64Array(3));
    const pairs = readings.map(({ ground, measured, fitted, deltaE }) => {
      const subLabel = `off by ${deltaE00(deltaE)}`;
      const words = { label: `${label} over ${ground}`, subLabel };
      const sides = { targetLabel: "measured", sampleLabel: "fitted" };
      return panel({ ...words, ...sides }, XYZ(fitted), seen, XYZ(measured));
    });
    return html`<div class="panels">${pairs}</div>
      ${leaveOneOut === undefined ? nothing : html`<p>Predicted from the other drawdowns it is off by ${deltaE00(leaveOneOut)}.</p>`}`;
  }

  #draw(value: Calibration, report: DrawdownReport | QuickReport | undefined) {
    const key = [value, report, this.compareWith];
    if (!this.#drawn?.key.every((part, k) => part === key[k])) {
      this.#drawn = { key, charts: drawAll(value, report, this.compareWith) };
    }
    return this.#drawn.charts;
  }

  static override styles = [
    ...viewStyles,
    css`
      h3 {
        font-size: 1.1rem;
        margin-block: 22px 8px;
      }
      bole-choice,
      bole-chart,
      .refits {
        margin-block: 14px;
      }
    `,
  ];
}

/** The drawdown that is predicted worst, to be looked at first. */
function worst<Report extends { readonly leaveOneOut?: number }>(
  reports: readonly Report[],
): Report | undefined {
  return reports.reduce<Report | undefined>(
    (best, one) => (best === undefined || (one.leaveOneOut ?? -1) > (best.leaveOneOut ?? -1) ? one : best),
    undefined,
  );
}

function deltaE00(value: number): string {
  return `ΔE00\u00a0${differenceText(value)}`;
}
