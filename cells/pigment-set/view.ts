import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import type { Component } from "../../src/coating/component.ts";
import { Eye } from "../../src/coating/eye.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { coefficientFiles } from "../../src/exchange/exportFiles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { componentSets } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { pigmentSet } from "./define.ts";

const tag = "bole-view-pigment-set";
export default tag;

const grid = wavelengths(workingGrid);
const eye = new Eye({
  weights: weightsFor("1964-10", "D65"),
  surface: { externalReflection: 0.04, internalReflection: 0.6 },
  sheen: 0,
});

@customElement(tag)
export class PigmentSetView extends CellView<PigmentSet, ParameterValues<typeof pigmentSet.parameters>> {
  @state() private chosen = "";

  protected override render() {
    const { set, leftOut, added } = this.parameters;
    const base = set === "none" ? [] : componentSets[set]();
    const ownIds = new Set(added.map((component) => component.id));
    const rows = [
      ...base.filter((component) => !ownIds.has(component.id)),
      ...(this.value?.components ?? []).filter((c) => ownIds.has(c.id)),
    ];
    const chosen = rows.find((component) => component.id === this.chosen);
    return html`
      ${this.verdictLine(false)}
      <div class="fields">${parameterField(this, pigmentSet.parameters, "set")}</div>
      <ul class="shelf" aria-label="Components">
        ${rows.map((component) => this.#row(component, leftOut.includes(component.id), ownIds.has(component.id)))}
      </ul>
      ${
        this.value
          ? html`<bole-save-buttons
              label="K and S of the whole shelf"
              .name=${this.cell.title}
              .files=${coefficientFiles(this.value.components, `"${this.cell.title}", K and S of its components`)}
            ></bole-save-buttons>`
          : nothing
      }
      ${chosen ? this.#about(chosen, leftOut.includes(chosen.id), ownIds.has(chosen.id)) : nothing}
    `;
  }

  #row(component: Component, out: boolean, own: boolean) {
    return html`<li>
      <button
        class=${out ? "paste out" : "paste"}
        aria-pressed=${this.chosen === component.id}
        @click=${() => (this.chosen = this.chosen === component.id ? "" : component.id)}
      >
        <span class="films" aria-hidden="true">
          <span .style=${`background:${this.#film(component, 0.85)}`}></span>
          <span .style=${`background:${this.#film(component, 0.03)}`}></span>
        </span>
        <span>${component.name}${own ? " (own)" : ""}${out ? ", left out" : ""}</span>
      </button>
    </li>`;
  }

  /** A film of 15 µm over a light and a dark ground. */
  #film(component: Component, ground: number): string {
    const internal = new Float64Array(grid.length);
    const Rg = new Float64Array(grid.length).fill(ground);
    filmReflectanceInto(component.absorption, component.scattering, 15, Rg, internal);
    return screenColour(eye.see(internal).XYZ, { weights: eye.conditions.weights, gamut: "srgb" }).css;
  }

  #about(component: Component, out: boolean, own: boolean) {
    const { leftOut, added } = this.parameters;
    return html`
      <h3>${component.name}</h3>
      <dl class="figures">
        <div><dt>Colour Index name</dt><dd>${component.colourIndex ?? "–"}</dd></div>
        <div><dt>Density</dt><dd>${component.density} g/mL</dd></div>
        <div><dt>Volume solids</dt><dd>${(100 * component.volumeSolids).toFixed(0)} %</dd></div>
        <div><dt>Cost</dt><dd>${component.costPerMl ?? "–"} per mL</dd></div>
        <div><dt>Light fastness</dt><dd>${component.lightfastness ?? "–"}</dd></div>
        <div><dt>Known from</dt><dd>${component.provenance.kind}</dd></div>
      </dl>
      ${component.provenance.note ? html`<p class="soft">${component.provenance.note}</p>` : nothing}
      <bole-chart
        label=${`Absorption and scattering of ${component.name}`}
        .summary=${"K and S in 1/µm of dry film, on a logarithmic scale, from 380 to 730 nm"}
        .draw=${this.#draw(component)}
      ></bole-chart>
      <bole-save-buttons
        label="its K and S"
        .name=${component.name}
        .files=${coefficientFiles([component], `K and S of "${component.name}", known from: ${component.provenance.kind}`)}
      ></bole-save-buttons>
      ${
        own
          ? html`<button @click=${() => this.set({ added: added.filter((other) => other.id !== component.id) })}>Remove it from the shelf</button>`
          : html`<button
              @click=${() =>
                this.set({
                  leftOut: out ? leftOut.filter((id) => id !== component.id) : [...leftOut, component.id],
                })}
            >${out ? "Put it back on the shelf" : "Leave it out"}</button>`
      }
    `;
  }

  #drawn: { component: Component; draw: ChartDraw } | undefined;

  #draw(component: Component): ChartDraw {
    if (this.#drawn?.component !== component) {
      this.#drawn = {
        component,
        draw: (Plot, size) =>
          curvesChart(
            Plot,
            {
              x: grid,
              xLabel: "wavelength, nm",
              yLabel: "1/µm of dry film",
              logarithmic: true,
              curves: [
                { label: "K, absorption", y: component.absorption },
                { label: "S, scattering", y: component.scattering },
              ],
            },
            size,
          ),
      };
    }
    return this.#drawn.draw;
  }

  static override styles = [
    ...viewStyles,
    css`
      .shelf {
        list-style: none;
        padding: 0;
        margin: 14px 0;
        display: grid;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 220px), 1fr));
        gap: 8px;
      }
      .paste {
        width: 100%;
        display: flex;
        align-items: center;
        gap: 12px;
        padding: 6px 12px 6px 6px;
        text-align: start;
        font-weight: 400;
      }
      .paste[aria-pressed="true"] {
        border-width: 3px;
      }
      .paste.out {
        border-style: dashed;
        color: var(--bole-ink-soft);
      }
      .films {
        display: flex;
        flex: none;
        padding: 6px;
        background: var(--bole-surround);
      }
      .films span {
        width: 26px;
        height: 36px;
        forced-color-adjust: none;
      }
      h3 {
        margin-bottom: 0;
      }
    `,
  ];
}
