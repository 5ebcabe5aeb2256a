import "../../src/controls/boleChart.ts";
import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import { mapChart } from "../../src/charts/mapChart.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import type { ChartTable } from "../../src/controls/chartFile.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { quantityText } from "../../src/graph/askedQuantity.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { type Axis, type WhatIf, whatIf } from "./define.ts";

const tag = "bole-view-what-if";
export default tag;

@customElement(tag)
export class WhatIfView extends CellView<WhatIf, ParameterValues<typeof whatIf.parameters>> {
  #drawn: { value: WhatIf; pinned: unknown; draw: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    return html`${value ? this.#choices(value) : nothing} ${value ? this.#result(value) : nothing}`;
  }

  #choices({ results, settings, result, x, y }: WhatIf) {
    const all = settings.flatMap(({ cell, title, settings: list }) =>
      list.map(({ name, spec }) => ({ value: `${cell}:${name}`, title, label: spec.label })),
    );
    // Named after the cell only where two of them have the same: long names are cut on a narrow screen.
    const axes = all.map(({ value, title, label }) => ({
      value,
      label: all.filter((other) => other.label === label).length > 1 ? `${label}, ${title}` : label,
    }));
    const choose = (name: "result" | "x" | "y", patch: object) => (event: CustomEvent<{ value: string }>) =>
      this.set({ [name]: event.detail.value, ...patch });
    return html`<div class="fields">
      <bole-choice
        label="Result"
        .options=${results.map(({ reference, label, unit }) => ({ value: reference, label: unit ? `${label}, ${unit}` : label }))}
        .value=${result.reference}
        @change=${choose("result", { pinned: [] })}
      ></bole-choice>
      <bole-choice
        label="Against"
        .options=${axes}
        .value=${`${x.cell}:${x.name}`}
        @change=${choose("x", { from: null, to: null, pinned: [] })}
      ></bole-choice>
      <bole-choice
        label="And against"
        .options=${[{ value: "", label: "nothing else: a curve" }, ...axes.filter((axis) => axis.value !== `${x.cell}:${x.name}`)]}
        .value=${y ? `${y.cell}:${y.name}` : ""}
        @change=${choose("y", { yFrom: null, yTo: null })}
      ></bole-choice>
    </div>`;
  }

  #result(value: WhatIf) {
    const { result, x, y, values } = value;
    const pinned = this.parameters.pinned;
    let best = -1;
    values.forEach((v, i) => {
      if (Number.isFinite(v) && (best < 0 || v < values[best])) best = i;
    });
    return html`
      ${this.verdictLine()}
      <bole-chart
        label=${`${result.label} against ${x.spec.label.toLowerCase()}${y ? ` and ${y.spec.label.toLowerCase()}` : ""}`}
        .summary=${y ? "Dark is small; dots or the heavy line mark ΔE 1. Press a place to set both values, or use the sliders below." : "Press or drag to set the value."}
        .draw=${this.#draw(value)}
        .height=${y ? 420 : 340}
        .readPlace=${y ? (first: number, second: number) => this.#readPlace(value, y, first, second) : undefined}
        .onPlace=${y ? (first: number, second: number) => this.#place(x, y, first, second) : undefined}
        .readOut=${y ? undefined : (place: number) => this.#readOut(value, place)}
        .onPick=${y ? undefined : (place: number, live: boolean) => this.#pick(x, place, live)}
        .picked=${y ? undefined : x.value}
        .pickStep=${x.spec.step}
        .table=${() => tableOf(value)}
      ></bole-chart>
      <div class="fields">
        ${this.#setter(x)} ${y ? this.#setter(y) : nothing} ${parameterField(this, whatIf.parameters, y ? "mapPoints" : "points")}
      </div>
      <p>
        ${y ? nothing : html`<button @click=${() => this.#pin(value)} ?disabled=${pinned.length >= 8}>Keep this curve for comparison</button>`}
        ${pinned.length > 0 ? html`<button @click=${() => this.set({ pinned: [] })}>Drop the kept curves</button>` : nothing}
      </p>
    `;
  }

  /** Sets the real parameter: this one changes the notebook. */
  #setter(axis: Axis) {
    return html`<bole-slider
      .label=${`${axis.title}: ${axis.spec.label}`}
      .unit=${axis.spec.unit ?? ""}
      .value=${axis.value} .min=${axis.spec.min} .max=${axis.spec.max} .step=${axis.spec.step}
      .digits=${axis.spec.whole ? 0 : axis.spec.digits}
      @input=${(event: CustomEvent<{ value: number }>) => this.setElsewhere(axis.cell, { [axis.name]: event.detail.value }, true)}
      @change=${(event: CustomEvent<{ value: number }>) => this.setElsewhere(axis.cell, { [axis.name]: event.detail.value })}
    ></bole-slider>`;
  }

  #pick(axis: Axis, place: number, live: boolean): void {
    this.setElsewhere(axis.cell, { [axis.name]: snapped(axis, place) }, live);
  }

  #place(x: Axis, y: Axis, first: number, second: number): void {
    const [a, b] = [snapped(x, first), snapped(y, second)];
    this.setTogether([
      { id: x.cell, patch: { [x.name]: a } },
      { id: y.cell, patch: { [y.name]: b } },
    ]);
  }

  #readPlace({ x, values, result }: WhatIf, y: Axis, first: number, second: number): string {
    const [i, j] = [nearest(x.values, first), nearest(y.values, second)];
    const value = values[j * x.values.length + i];
    const shown = { ...result, value: Number.isFinite(value) ? value : undefined };
    return `${short(x.values[i])} and ${short(y.values[j])}: ${quantityText(shown)}`;
  }

  #readOut({ x, values, result }: WhatIf, place: number): string {
    const i = nearest(x.values, place);
    const value = Number.isFinite(values[i]) ? values[i] : undefined;
    return `${short(x.values[i])}: ${quantityText({ ...result, value })}`;
  }

  #pin({ x, values, result }: WhatIf): void {
    const y = [...values].map((value) => (Number.isFinite(value) ? value : null));
    const label = `kept ${this.parameters.pinned.length + 1}: ${quantityText(result)}`;
    this.set({ pinned: [...this.parameters.pinned, { label, x: [...x.values], y }] });
  }

  #draw(value: WhatIf): ChartDraw {
    const { pinned } = this.parameters;
    if (this.#drawn?.value === value && this.#drawn.pinned === pinned) return this.#drawn.draw;
    const { x, y, values, result } = value;
    const xLabel = `${x.spec.label}${x.spec.unit ? `, ${x.spec.unit}` : ""}`;
    const name = result.unit ? `${result.label}, ${result.unit}` : result.label;
    const draw: ChartDraw = y
      ? (Plot, size) =>
          mapChart(
            Plot,
            {
              x: x.values,
              y: y.values,
              values,
              xLabel,
              yLabel: `${y.spec.label}${y.spec.unit ? `, ${y.spec.unit}` : ""}`,
              cells: x.spec.whole || y.spec.whole,
              current: { x: x.value, y: y.value },
              level: result.label.includes("ΔE") ? 1 : undefined,
            },
            size,
          )
      : (Plot, size) =>
          curvesChart(
            Plot,
            {
              x: x.values,
              xLabel,
              yLabel: name,
              curves: [
                { label: "now", y: values, emphasis: true },
                ...pinned
                  .filter((curve) => curve.x.length === x.values.length)
                  .map((curve) => ({ label: curve.label, y: curve.y.map((value) => value ?? Number.NaN) })),
              ],
            },
            size,
          );
    this.#drawn = { value, pinned, draw };
    return draw;
  }

  static override styles = viewStyles;
}

const short = (value: number) => String(Number(value.toPrecision(4)));

function snapped({ spec: { min, max, step, whole } }: Axis, place: number): number {
  const value = whole ? Math.round(place) : Math.round(place / step) * step;
  return Number(Math.min(max, Math.max(min, value)).toPrecision(8));
}

function nearest(values: Float64Array, place: number): number {
  let best = 0;
  for (let i = 1; i < values.length; i++)
    if (Math.abs(values[i] - place) < Math.abs(values[best] - place)) best = i;
  return best;
}

function tableOf({ x, y, values, result }: WhatIf): ChartTable {
  const named = ({ spec }: Axis) => (spec.unit ? `${spec.label}, ${spec.unit}` : spec.label);
  return {
    columns: [
      named(x),
      ...(y ? [named(y)] : []),
      result.unit ? `${result.label}, ${result.unit}` : result.label,
    ],
    rows: Array.from(values, (value, index) => [
      x.values[index % x.values.length],
      ...(y ? [y.values[Math.floor(index / x.values.length)]] : []),
      value,
    ]),
  };
}
