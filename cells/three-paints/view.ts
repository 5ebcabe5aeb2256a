import "../../src/controls/boleChart.ts";
import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { triangleChart } from "../../src/charts/triangleChart.ts";
import { triangleShares } from "../../src/charts/triangleGeometry.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { ratioOfShares } from "../../src/ground/map.ts";
import { type RatedBlend, type ThreePaints, threePaints } from "./define.ts";
import { thirdPaints } from "./model/compute.ts";

const tag = "bole-view-three-paints";
export default tag;

@customElement(tag)
export class ThreePaintsView extends CellView<ThreePaints, ParameterValues<typeof threePaints.parameters>> {
  #drawn: { value: ThreePaints; draw: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    return html`${value ? this.#result(value) : nothing} ${this.#settings(value)}`;
  }

  #result(value: ThreePaints) {
    const { coverage, best, current, paints } = value;
    const { viewing, parts, targetSeen } = coverage;
    const { formula } = viewing;
    return html`
      ${this.verdictLine(false)}
      <bole-chart
        label=${`${formula} of the worst part over all blends of ${paints.map(({ name }) => name).join(", ")}`}
        summary="Each corner is one paint alone; thin lines stand at the quarters. Dark is near the target. Press a place to pour that blend, or use the sliders below."
        .draw=${this.#draw(value)}
        .height=${Math.round(Math.min(460, (window.innerWidth - 64) * 0.866 + 90))}
        .readPlace=${(x: number, y: number) => this.#read(value, x, y)}
        .onPlace=${(x: number, y: number) => this.#press(value, x, y)}
        .table=${() => tableOf(value)}
      ></bole-chart>
      <button @click=${() => this.#take(value, best.shares)}>Take the best blend</button>
      <div class="panels">
        ${panel(
          {
            label: "With the best blend",
            subLabel: `${formula} ${differenceText(best.difference)} on ${parts[best.part].substrate.name}`,
            sampleLabel: "part",
          },
          best.XYZ,
          viewing,
          targetSeen.XYZ,
        )}
        ${panel(
          {
            label: "As it is now",
            subLabel: `${formula} ${differenceText(current.difference)} on ${parts[current.part].substrate.name}`,
            sampleLabel: "part",
          },
          current.XYZ,
          viewing,
          targetSeen.XYZ,
        )}
      </div>
      <div class="fields">${this.#sliders(value)}</div>
    `;
  }

  #take({ paints, coverage }: ThreePaints, shares: readonly number[], live = false): void {
    const { ratio, thirdShare } = ratioOfShares(shares[0], shares[1], shares[2]);
    const fine = (share: number) => Math.min(1, Math.max(0, Math.round(share * 1000) / 1000));
    this.setElsewhere(
      coverage.basecoat.cell,
      { paints: paints.map(({ id }) => id), ratio: fine(ratio), thirdShare: fine(thirdShare) },
      live,
    );
  }

  #press(value: ThreePaints, x: number, y: number): void {
    const { first, second, third } = triangleShares({ x, y });
    // Whole per cent: nobody pours finer.
    const whole = [second, third].map((share) => Math.round(100 * share) / 100);
    const rest = 1 - whole[0] - whole[1];
    this.#take(value, rest < 0 ? [first, second, third] : [rest, ...whole]);
  }

  #read({ paints, triangle, coverage }: ThreePaints, x: number, y: number): string {
    const { first, second, third } = triangleShares({ x, y });
    const { steps, worst } = triangle;
    const row = Math.min(steps, Math.round(third * steps));
    const at = Math.min(steps - row, Math.round(second * steps));
    const k = row * (steps + 1) - (row * (row - 1)) / 2 + at;
    const { formula } = coverage.viewing;
    const shares = [first, second, third].map((share, p) => `${percentText(share)} ${paints[p].name}`);
    return `${shares.join("\n")}\n${formula} ${differenceText(worst[k])}`;
  }

  /** The real settings of the basecoat cell: these change the notebook. */
  #sliders(value: ThreePaints) {
    const { paints, current } = value;
    const { ratio, thirdShare } = ratioOfShares(...current.shares);
    const slider = (label: string, now: number, next: (share: number) => number[]) => html`<bole-slider
      .label=${label} unit="" .value=${now} .min=${0} .max=${1} .step=${0.01} .digits=${3}
      @input=${(event: CustomEvent<{ value: number }>) => this.#take(value, next(event.detail.value), true)}
      @change=${(event: CustomEvent<{ value: number }>) => this.#take(value, next(event.detail.value))}
    ></bole-slider>`;
    const blend = (r: number, t: number) => [(1 - t) * (1 - r), (1 - t) * r, t];
    return html`
      ${slider(`${paints[1].name} in the first two`, ratio, (r) => blend(r, thirdShare))}
      ${slider(`${paints[2].name} in the whole`, thirdShare, (t) => blend(ratio, t))}
    `;
  }

  #settings(value: ThreePaints | undefined) {
    const own = value?.coverage.basecoat.paints[2];
    const others = value ? thirdPaints(value.coverage) : [];
    return html`<details>
      <summary>Settings of the triangle</summary>
      <div class="fields">
        ${
          own || !value
            ? nothing
            : html`<bole-choice
                label="Third paint"
                .options=${others.map(({ id, name }) => ({ value: id, label: name }))}
                .value=${value.paints[2].id}
                @change=${(event: CustomEvent<{ value: string }>) => this.set({ third: event.detail.value })}
              ></bole-choice>`
        }
        ${parameterField(this, threePaints.parameters, "steps")}
      </div>
    </details>`;
  }

  #draw(value: ThreePaints): ChartDraw {
    if (this.#drawn?.value === value) return this.#drawn.draw;
    const { triangle, paints, best, current, coverage } = value;
    const place = ({ shares }: RatedBlend) => ({ second: shares[1], third: shares[2] });
    const data = {
      steps: triangle.steps,
      values: triangle.worst,
      names: paints.map(({ name }) => name) as unknown as [string, string, string],
      best: { ...place(best), text: differenceText(best.difference) },
      current: place(current),
      level: coverage.viewing.tolerance,
    };
    const draw: ChartDraw = (Plot, size) => triangleChart(Plot, data, size);
    this.#drawn = { value, draw };
    return draw;
  }

  static override styles = viewStyles;
}

function tableOf({ paints, triangle, coverage }: ThreePaints): ChartTable {
  return {
    columns: [
      ...paints.map(({ name }) => `share of ${name}`),
      `${coverage.viewing.formula} of the worst part`,
    ],
    rows: Array.from(triangle.worst, (value, k) => [...triangle.shares.subarray(3 * k, 3 * k + 3), value]),
  };
}
