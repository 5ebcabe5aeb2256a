import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { ratioChart } from "../../src/charts/ratioChart.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { ratioSweep, type SweptRatio } from "./define.ts";
import type { Together } from "./model/together.ts";

const tag = "bole-view-ratio-sweep";
export default tag;

@customElement(tag)
export class RatioSweepView extends CellView<SweptRatio, ParameterValues<typeof ratioSweep.parameters>> {
  #drawn: { value: SweptRatio; draw: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { best, current, coverage, together } = value;
    const { formula } = coverage.viewing;
    return html`
      <div class="beside">
      <div>
      ${this.verdictLine()}
      ${
        together
          ? html`<p class="moves">
              ${
                together.apart
                  ? html`<strong>Blend and recipe do not belong together:</strong> fitted to this blend, the recipe would come to
                      ${formula} ${differenceText(together.refittedHere)} instead of ${differenceText(current.difference)}.`
                  : html`Blend and recipe belong together: a fit to this blend would change nothing that shows.`
              }
            </p>`
          : nothing
      }
      <p class="row">
        ${
          together
            ? html`<button ?disabled=${this.acting === "settle"} @click=${() => this.act("settle")}>
                ${ratioSweep.actions?.settle.label}
              </button>`
            : nothing
        }
        <button @click=${() => this.#pick(value, best.ratio)}>
          Take the best ratio${together ? " for the recipe as it is" : ""}
        </button>
      </p>
      <details>
        <summary>Settings of the sweep</summary>
        <div class="fields">
          ${parameterField(this, ratioSweep.parameters, "margin")} ${parameterField(this, ratioSweep.parameters, "points")}
        </div>
      </details>
      </div>
      <bole-chart
        piece="curve"
        label=${`${formula} of the worst part against the basecoat ratio`}
        .summary=${`${together ? `Recipe fitted to each blend: least ${differenceText(together.best.difference)} at ${percentText(together.best.ratio)} of the second paint. As it is: least` : "Least"} ${differenceText(best.difference)} at ${percentText(best.ratio)} of the second paint; now ${differenceText(current.difference)} at ${percentText(current.ratio)}. Press or drag to set the ratio.`}
        summary-hidden
        .draw=${this.#draw(value)}
        .height=${340}
        .readOut=${(ratio: number) => this.#readOut(value, ratio)}
        .onPick=${(ratio: number, live: boolean) => this.#pick(value, ratio, live)}
        .picked=${current.ratio}
        .pickStep=${0.01}
        .table=${() => tableOf(value)}
      ></bole-chart>
      </div>
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
    const { ratios, worst, colours, best, flat, current, coverage, band, together } = value;
    const { viewing, basecoat } = coverage;
    // The strip is drawn from every sample that differs enough to be seen; the curve keeps them all.
    const css = Array.from(ratios, (_, k) => screenColour(colours.subarray(3 * k, 3 * k + 3), viewing).css);
    const data = {
      ratios,
      ...(together
        ? { label: "recipe fitted to each blend", deltaE: along(together, ratios), best: together.best.ratio }
        : { deltaE: worst, best: best.ratio }),
      colours: css,
      // The flat region is that of the recipe as it is.
      flat: together ? undefined : flat,
      current: current.ratio,
      tolerance: viewing.tolerance,
      xLabel: `share of ${basecoat?.paints[1]?.name ?? "the second paint"}, %`,
      yLabel: `${viewing.formula} to the target, worst part`,
      curves: [
        ...(together ? [{ label: "recipe as it is", deltaE: worst }] : []),
        ...(band
          ? [
              { label: "doubt of K and S, 5 %", deltaE: band.low },
              { label: "95 %", deltaE: band.high },
            ]
          : []),
      ],
    };
    const draw: ChartDraw = (Plot, size) => ratioChart(Plot, data, size);
    this.#drawn = { value, draw };
    return draw;
  }

  static override styles = [
    ...viewStyles,
    css`
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 6px 12px;
        margin-block: 8px;
      }
    `,
  ];
}

/** Differences of the refitted recipe at other ratios, joined by straight lines. */
function along({ ratios: known, differences }: Together, ratios: Float64Array): Float64Array {
  const last = known.length - 1;
  return ratios.map((ratio) => {
    const k = Math.min(last - 1, Math.floor(ratio * last));
    return differences[k] + (ratio * last - k) * (differences[k + 1] - differences[k]);
  });
}

function tableOf({ ratios, worst, differences, coverage, together }: SweptRatio): ChartTable {
  const refitted = together && along(together, ratios);
  const { formula } = coverage.viewing;
  return {
    columns: [
      `share of ${coverage.basecoat?.paints[1]?.name}`,
      `${formula} of the worst part`,
      ...(refitted ? [`${formula} of the worst part, recipe fitted to each blend`] : []),
      ...coverage.parts.map(({ substrate }) => `${formula} of ${substrate.name}`),
    ],
    rows: Array.from(ratios, (ratio, k) => [
      ratio,
      worst[k],
      ...(refitted ? [refitted[k]] : []),
      ...differences.map((part) => part[k]),
    ]),
  };
}
