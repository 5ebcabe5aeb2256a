import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import "../../src/controls/boleFile.ts";
import { curvesChart } from "../../src/charts/curvesChart.ts";
import type { Component } from "../../src/coating/component.ts";
import { Eye } from "../../src/coating/eye.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { FollowLedger } from "../../src/controls/followLedger.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { measureText } from "../../src/units/units.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import { coefficientFiles } from "../../src/exchange/exportFiles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { type ComponentParameter, componentToSave, type PigmentSet } from "../../src/ports/pigmentSet.ts";
import { componentSets } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { pigmentSet } from "./define.ts";
import { freeId, withOwn } from "./model/shelf.ts";
import { readShelf, writeShelf } from "./model/shelfFile.ts";
import { colourPlace, componentFields, readyFrom } from "./view/componentFields.ts";
import { olderShelf } from "./view/olderShelf.ts";

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
  @state() private trouble = "";

  constructor() {
    super();
    new FollowLedger(this);
  }

  protected override render() {
    const { set, leftOut, added, learntFrom } = this.parameters;
    const base = set === "none" ? [] : componentSets[set]();
    const ownIds = new Set(added.map((component) => component.id));
    const rows = [
      ...base.filter((component) => !ownIds.has(component.id)),
      ...(this.value?.components ?? []).filter((c) => ownIds.has(c.id)),
    ];
    const chosen = rows.find((component) => component.id === this.chosen);
    return html`
      ${this.verdictLine(false)} ${olderShelf(learntFrom)}
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
            ></bole-save-buttons>
              <bole-save-buttons
                label="the whole shelf"
                .name=${`${this.cell.title}, shelf`}
                .files=${[shelfFile(this.value.components, this.cell.title)]}
              ></bole-save-buttons>`
          : nothing
      }
      ${chosen ? this.#about(chosen, leftOut.includes(chosen.id), ownIds.has(chosen.id)) : nothing}
      <div aria-live="polite">
        ${this.trouble ? html`<bole-message kind="error" .text=${this.trouble}></bole-message>` : nothing}
      </div>
      ${this.#ways(rows.length === 0, set === "none")}
    `;
  }

  /** Ways onto the shelf; an empty one offers them at once, and one's own goes on offering ready paints. */
  #ways(open: boolean, own: boolean) {
    return html`
      <details ?open=${own}>
        <summary>Add a ready paint</summary>
        <p>
          A base paint, the rest of an earlier job, any bottle: its colour, read where it hides everything, will do. It says how
          the paint absorbs for its scattering, not how well it hides; that doubt goes along. Type it as “name: L* a* b*”.
        </p>
        ${colourPlace("Colour of a ready paint", (found) => this.#attempt(() => this.#add(readyFrom(found, this.#ids()))), true)}
      </details>
      <details ?open=${open}>
        <summary>Bring in a shelf</summary>
        <bole-file
          label="Shelf as CSV"
          accept=".csv,.txt"
          hint="As Save the whole shelf writes it; one row for each component. Yours with the same id are replaced."
          @file=${(event: CustomEvent<{ name: string; text: string }>) =>
            this.#attempt(() => {
              const found = readShelf(event.detail.text, event.detail.name);
              this.set({ added: found.reduce(withOwn, this.parameters.added) });
            })}
        ></bole-file>
      </details>
      ${
        open
          ? html`<p>
              A paste that nobody has measured is calibrated from drawdowns in a <em>Calibration</em> cell, which puts it here. Or
              choose a set above: it is invented, good for trying things out.
            </p>`
          : nothing
      }
    `;
  }

  /** Ids on this shelf, those left out too. */
  #ids(): Set<string> {
    const { set, added } = this.parameters;
    const base = set === "none" ? [] : componentSets[set]();
    return new Set([...base, ...added].map(({ id }) => id));
  }

  #add(component: ComponentParameter): void {
    this.set({ added: withOwn(this.parameters.added, component) });
    this.chosen = component.id;
  }

  #attempt(work: () => void): void {
    this.trouble = "";
    try {
      work();
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  /** A component as this notebook keeps it, or would. */
  #kept(component: Component): ComponentParameter {
    return this.parameters.added.find(({ id }) => id === component.id) ?? componentToSave(component);
  }

  #copy(component: ComponentParameter): void {
    const ids = this.#ids();
    const name = `${component.name}, copy`.slice(0, 200);
    this.#add({ ...component, id: freeId(name, ids), name });
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
        <div><dt>Cost</dt><dd>${component.costPerMl === undefined ? "not known" : `${Number((1000 * component.costPerMl).toPrecision(6))} per litre`}</dd></div>
        ${component.leastDose === undefined ? nothing : html`<div><dt>Least sensible dose</dt><dd>${this.inUnits(`${component.leastDose} mL per 100 mL`)}</dd></div>`}
        ${component.containers ? html`<div><dt>Sold in</dt><dd>${component.containers.map((size) => measureText(size, "volume", this.units)).join(", ")}</dd></div>` : nothing}
        <div><dt>Light fastness</dt><dd>${component.lightfastness ?? "–"}</dd></div>
        <div><dt>Known from</dt><dd>${component.provenance.kind}</dd></div>
        ${component.scaleSigma ? html`<div><dt>Hiding power known within</dt><dd>a factor of ${Math.exp(component.scaleSigma).toFixed(1)} (1σ)</dd></div>` : nothing}
      </dl>
      ${component.provenance.note ? html`<p class="soft">${component.provenance.note}</p>` : nothing}
      <details ?open=${component.provenance.kind === "measured"}>
        <summary>Change it</summary>
        ${
          own
            ? nothing
            : html`<p>It belongs to an invented set: the first change makes it your own, here in this notebook.</p>`
        }
        ${componentFields(
          this.#kept(component),
          (changed) => this.#attempt(() => this.#add(changed)),
          (trouble) => (this.trouble = trouble),
        )}
      </details>
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
      <button @click=${() => this.#copy(this.#kept(component))}>Copy it</button>
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

function shelfFile(components: readonly Component[], title: string) {
  const write = () => writeShelf(components.map(componentToSave), title);
  return { form: "CSV", ending: ".csv", type: "text/csv", write };
}
