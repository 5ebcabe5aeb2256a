import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { ratioChart } from "../../src/charts/ratioChart.ts";
import { inParts } from "../../src/coating/blend.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { ratioSweep, type SweptRatio } from "./define.ts";

const tag = "bole-view-ratio-sweep";
export default tag;

@customElement(tag)
export class RatioSweepView extends CellView<SweptRatio, ParameterValues<typeof ratioSweep.parameters>> {
  #drawn: { value: SweptRatio; draw: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { best, flat, current, coverage } = value;
    const { formula, tolerance } = coverage.viewing;
    const [first, second] = coverage.basecoat?.paints ?? [];
    return html`
      <p class="verdict moves">
        Best: <strong>${inParts(best.ratio)}</strong> of ${first?.name} and ${second?.name}, ${formula}
        ${differenceText(best.difference)}. From ${percentText(flat[0])} to ${percentText(flat[1])} of ${second?.name} the eye
        hardly tells. ${
          best.difference > tolerance
            ? html`No ratio passes with these coats and this recipe.`
            : html`Now: ${percentText(current.ratio)}, ${formula} ${differenceText(current.difference)}.`
        }
      </p>
      <bole-chart
        label=${`${formula} of the worst part against the basecoat ratio`}
        .summary=${`Least ${differenceText(best.difference)} at ${percentText(best.ratio)} of the second paint; now ${differenceText(current.difference)} at ${percentText(current.ratio)}. Press or drag to set the ratio.`}
        .draw=${this.#draw(value)}
        .height=${380}
        .readOut=${(ratio: number) => this.#readOut(value, ratio)}
        .onPick=${(ratio: number, live: boolean) => this.#pick(value, ratio, live)}
        .picked=${current.ratio}
        .pickStep=${0.01}
        .table=${() => tableOf(value)}
      ></bole-chart>
      <button @click=${() => this.#pick(value, best.ratio)}>Take the best ratio</button>
      <details>
        <summary>Settings of the sweep</summary>
        <div class="fields">
          ${parameterField(this, ratioSweep.parameters, "margin")} ${parameterField(this, ratioSweep.parameters, "points")}
        </div>
      </details>
    `;
  }

  #pick({ coverage }: SweptRatio, ratio: number, live = false): void {
    if (!coverage.basecoat) return;
    const clamped = Math.min(1, Math.max(0, Math.round(ratio * 1000) / 1000));
    this.setElsewhere(coverage.basecoat.cell, { ratio: clamped }, live);
  }

  #readOut({ ratios, worst, coverage }: SweptRatio, ratio: number): string {
    const index = Math.round(Math.min(1, Math.max(0, ratio)) * (ratios.length - 1));
    return `${percentText(ratios[index])}: ${coverage.viewing.formula} ${differenceText(worst[index])}`;
  }

  #draw(value: SweptRatio): ChartDraw {
    if (this.#drawn?.value === value) return this.#drawn.draw;
    const { ratios, worst, colours, best, flat, current, coverage, band } = value;
    const { viewing, basecoat } = coverage;
    // The strip is drawn from every sample that differs enough to be seen; the curve keeps them all.
    const css = Array.from(ratios, (_, k) => screenColour(colours.subarray(3 * k, 3 * k + 3), viewing).css);
    const data = {
      ratios,
      deltaE: worst,
      colours: css,
      best: best.ratio,
      flat,
      current: current.ratio,
      tolerance: viewing.tolerance,
      xLabel: `share of ${basecoat?.paints[1]?.name ?? "the second paint"}, %`,
      yLabel: `${viewing.formula} to the target, worst part`,
      curves: band
        ? [
            { label: "doubt of K and S, 5 %", deltaE: band.low },
            { label: "95 %", deltaE: band.high },
          ]
        : [],
    };
    const draw: ChartDraw = (Plot, size) => ratioChart(Plot, data, size);
    this.#drawn = { value, draw };
    return draw;
  }

  static override styles = viewStyles;
}

function tableOf({ ratios, worst, differences, coverage }: SweptRatio): ChartTable {
  const { formula } = coverage.viewing;
  return {
    columns: [
      `share of ${coverage.basecoat?.paints[1]?.name}`,
      `${formula} of the worst part`,
      ...coverage.parts.map(({ substrate }) => `${formula} of ${substrate.name}`),
    ],
    rows: Array.from(ratios, (ratio, k) => [ratio, worst[k], ...differences.map((part) => part[k])]),
  };
}
