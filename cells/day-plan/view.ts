import "../../src/controls/boleChart.ts";
import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { rowsHeight } from "../../src/charts/rowBars.ts";
import { displayColour } from "../../src/colour/display.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { JobBatch } from "../../src/job/batch.ts";
import type { DayPlan } from "../../src/job/dayPlan.ts";
import { durationsText } from "../../src/units/units.ts";
import { dayPlan } from "./define.ts";
import { dayChart } from "./view/dayChart.ts";

const tag = "bole-view-day-plan";
export default tag;

type Value = DayPlan & { readonly batch: JobBatch };
type Name = keyof typeof dayPlan.parameters;

@customElement(tag)
export class DayPlanView extends CellView<
  Value,
  ParameterValues<typeof dayPlan.parameters>,
  { batch: JobBatch }
> {
  #drawn: { value: Value; day: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    return html`
      ${value ? this.#result(value) : nothing}
      <div class="fields">${this.#fields("startOfDay", "dayLength", "cure")}</div>
      <details>
        <summary>Gun and hands</summary>
        <div class="fields">
          ${this.#fields("fanWidth", "gunSpeed", "overlap", "spongeRate", "turning", "preparation", "mixing", "gunCleaning")}
        </div>
      </details>
      <details>
        <summary>Flash-off</summary>
        <div class="fields">
          ${this.#fields("flashCleaner", "flashAdhesion", "flashBasecoat", "flashLight", "flashHeavy", "flashClear")}
        </div>
      </details>
    `;
  }

  #fields(...names: Name[]) {
    return names.map((name) => parameterField(this, dayPlan.parameters, name));
  }

  #result(value: Value) {
    const { plan, minutes, batch } = value;
    const times = new Map(
      batch.layers.map(({ kind }, i, layers) => [
        kind,
        durationsText(layers.map((layer) => minutes.get(layer.kind) ?? 0))[i],
      ]),
    );
    return html`
      ${this.verdictLine(false)}
      <bole-chart
        label=${plan.days > 1 ? `The work over ${plan.days} days` : "The day"}
        .summary=${`Numbers count the coats of a layer, from below: ${batch.layers.map((layer) => layer.name).join(", ")}`}
        .draw=${this.#draw(value)}
        .height=${rowsHeight(batch.parts.length + 1)}
      ></bole-chart>
      <dl class="figures">
        ${batch.layers.map(({ kind, name }) => html`<div><dt>${name}</dt><dd>${times.get(kind)}</dd></div>`)}
      </dl>
    `;
  }

  #draw(value: Value): ChartDraw {
    if (this.#drawn?.value === value) return this.#drawn.day;
    const { plan, pace, batch } = value;
    const { viewing, opaque, parts } = batch.coverage;
    const css = (XYZ: ArrayLike<number>) => displayColour(XYZ, viewing.weights.white, viewing.gamut).css;
    const colours = new Map([
      ["colour", css(opaque.XYZ)],
      ["basecoat", css(parts[0].groundSeen.XYZ)],
    ]);
    const day: ChartDraw = (Plot, size) =>
      dayChart(
        Plot,
        {
          groups: batch.parts.map((part) => `${part.name} (${part.count})`),
          bars: plan.bars,
          dayLength: pace.dayLength,
          startOfDay: pace.startOfDay,
          workEnds: plan.workEnds,
          colours,
        },
        size,
      );
    this.#drawn = { value, day };
    return day;
  }

  static override styles = viewStyles;
}
