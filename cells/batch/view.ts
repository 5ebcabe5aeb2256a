import "../../src/controls/boleChart.ts";
import { css, html, nothing, type TemplateResult } from "lit";
import { customElement } from "lit/decorators.js";
import { rowsHeight } from "../../src/charts/rowBars.ts";
import { inventedAmong } from "../../src/coating/invented.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { percentText } from "../../src/controls/numbers.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { type JobBatch, layerOf } from "../../src/job/batch.ts";
import { amountText, unitText } from "../../src/job/pouring.ts";
import { coatsText, partsText } from "../../src/paper/jobSheet.ts";
import { fromShown, measureText, toShown } from "../../src/units/units.ts";
import { plural } from "../../src/words/plural.ts";
import { batch } from "./define.ts";
import { ledgerChart } from "./view/ledgerChart.ts";

const tag = "bole-view-batch";
export default tag;

type Name = keyof typeof batch.parameters;

@customElement(tag)
export class BatchView extends CellView<JobBatch, ParameterValues<typeof batch.parameters>> {
  #drawn: { value: JobBatch; ledger: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    return html`
      ${value ? this.#result(value) : nothing}
      <div class="fields">${this.#fields("units", "use", "crossLinker", "carrier")}</div>
      ${this.#settings("Cleaner, adhesion coat, clear coat", [
        "cleanerPasses",
        "cleanerVolume",
        "adhesionCoats",
        "adhesionWet",
        "adhesionSolids",
        "clearCoats",
        "clearWet",
        "clearSolids",
      ])}
      ${this.#settings("Gun, airbrush or sponge", [
        "adhesionMethod",
        "basecoatMethod",
        "colourMethod",
        "clearMethod",
        "hvlpTransfer",
        "gunTransfer",
        "airbrushTransfer",
        "spongeTransfer",
      ])}
      ${this.#settings("Thinner", ["adhesionThinner", "basecoatThinner", "colourThinner", "clearThinner"])}
      ${this.#settings("Losses, test panels, reserve, rounding", [
        "cupAndHose",
        "testPanels",
        "panelArea",
        "reserve",
        "roundTo",
        "containers",
      ])}
      ${this.#settings("Balance, syringe or drops", ["dispensing", "step", "dropsPerMl"])}
      ${this.#settings("What evaporates", ["waterShare", "thinnerWaterShare", "solventDensity"])}
    `;
  }

  #settings(title: string, names: Name[]): TemplateResult {
    return html`<details>
      <summary>${title}</summary>
      <div class="fields">${this.#fields(...names)}</div>
    </details>`;
  }

  #fields(...names: Name[]) {
    return names.map((name) => parameterField(this, batch.parameters, name, "box", this.parameters.units));
  }

  #result(value: JobBatch) {
    const { settings, parts, dryBuild } = value;
    const { units } = settings;
    const invented = value.layers.flatMap(({ recipe }) =>
      recipe
        ? inventedAmong(
            recipe.components,
            recipe.poured.amounts.map((amount) => amount.volume),
          )
        : [],
    );
    return html`
      ${this.verdictLine(false)}
      ${invented.length > 0 ? html`<p><strong>Invented paints:</strong> ${invented.join(", ")}. Put your own on the shelf before you pour.</p>` : nothing}
      ${this.#recipes(value)} ${this.#layers(value)}
      <bole-chart
        label="Where it goes"
        .summary=${this.#ledgerSummary(value)}
        .draw=${this.#draw(value)}
        .height=${rowsHeight(value.layers.length)}
      ></bole-chart>
      <div class="scroll" role="region" tabindex="0" aria-label="Parts">
        <table class="wide-table">
          <caption class="unseen">Parts</caption>
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col" class="number">Pieces</th>
              <th scope="col" class="number">Area of one</th>
              <th scope="col" class="number">Grain</th>
              <th scope="col" class="number">To coat</th>
              <th scope="col" class="number">Colour coats</th>
              <th scope="col" class="number">It passes after</th>
            </tr>
          </thead>
          <tbody>
            ${parts.map(
              (part, i) => html`<tr>
                <th scope="row">${part.name}${part.material ? html` <span class="soft">${part.material}</span>` : nothing}</th>
                <td class="number">${part.count}</td>
                <td class="number">${measureText(part.area, "area", units)}</td>
                <td class="number">× ${part.textureFactor.toFixed(2)}</td>
                <td class="number">${measureText(part.surface, "area", units)}</td>
                <td class="number">${value.coverage.parts[i].painted.coats}</td>
                <td class="number">${this.#coatsNeeded(value, i)}</td>
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      ${this.#needed(value)}
      <p class="soft">All layers together${parts.some(({ moreCoats }) => moreCoats > 0) ? ", where they are thickest" : ""}: ${measureText(dryBuild, "thickness", units)} of dry film.</p>
      ${this.#cautions(value)}
    `;
  }

  #coatsNeeded({ coverage }: JobBatch, part: number) {
    if (!coverage.targetSeen) return "–";
    const needed = coverage.parts[part].coatsToTarget;
    if (needed === undefined) return `not within ${coverage.dryThicknesses.length}`;
    return plural(needed, "coat");
  }

  #recipes(value: JobBatch) {
    const { settings, coverage } = value;
    const { step } = settings.dispensing;
    const pots = (["basecoat", "colour"] as const).flatMap((kind) => layerOf(value, kind) ?? []);
    return html`<div class="pots">
      ${pots.map(({ kind, name, recipe, quantity }) => {
        if (!recipe) return nothing;
        const { components, poured } = recipe;
        const ratio =
          kind === "basecoat" && coverage.basecoat ? `, ${partsText(coverage.basecoat.shares)}` : "";
        return html`<table>
          <caption>
            ${name === "colour" ? "Colour" : "Basecoat"}${ratio}
          </caption>
          <thead>
            <tr>
              <th scope="col">Into the pot</th>
              <th scope="col" class="number">Amount</th>
              <th scope="col" class="number">Running</th>
            </tr>
          </thead>
          <tbody>
            ${components.map((component, i) => {
              const { amount, cumulativeAmount, unit } = poured.amounts[i];
              return html`<tr>
                <th scope="row">${component.name}</th>
                <td class="number">${amountText(amount, unit, step)} ${unitText(unit)}</td>
                <td class="number">${amountText(cumulativeAmount, unit, step)} ${unitText(unit)}</td>
              </tr>`;
            })}
          </tbody>
          <tfoot>
            <tr>
              <td colspan="3" class="soft">
                ${measureText(quantity.mixVolume, "volume", settings.units)}, ${measureText(poured.mass, "mass", settings.units)}${
                  quantity.thinnerVolume > 0
                    ? `, and ${measureText(quantity.thinnerVolume, "volume", settings.units)} of thinner`
                    : ""
                }
              </td>
            </tr>
          </tfoot>
        </table>`;
      })}
    </div>`;
  }

  /** What to have at hand of each component, where the shelf says the sizes that any of them is sold in. */
  #needed({ needed, settings: { units } }: JobBatch) {
    if (needed.every(({ containers }) => containers.length === 0)) return nothing;
    return html`<table>
      <caption>To have at hand</caption>
      <thead>
        <tr><th scope="col">Component</th><th scope="col" class="number">Takes</th><th scope="col">Containers</th></tr>
      </thead>
      <tbody>
        ${needed.map(
          ({ component, volume, containers }) => html`<tr>
            <th scope="row">${component.name}</th>
            <td class="number">${measureText(volume, "volume", units)}</td>
            <td>${containers.length === 0 ? "sizes not known" : containers.map(({ size, count }) => html`<span class="can">${count} × ${measureText(size, "volume", units)}</span> `)}</td>
          </tr>`,
        )}
      </tbody>
    </table>`;
  }

  #layers({ layers, parts, settings }: JobBatch) {
    const { units } = settings;
    const voc = layers.some((layer) => layer.voc);
    return html`<div class="scroll" role="region" tabindex="0" aria-label="Layers">
        <table class="wide-table">
          <caption class="unseen">Layers</caption>
          <thead>
            <tr>
              <th scope="col">Layer</th>
              <th scope="col">Coats</th>
              <th scope="col" class="number">Dry</th>
              <th scope="col" class="number">Ready mix</th>
              <th scope="col">Cups and cans</th>
              ${voc ? html`<th scope="col" class="number">VOC</th>` : nothing}
            </tr>
          </thead>
          <tbody>
            ${layers.map(
              (layer) => html`<tr>
                <th scope="row">${layer.name}</th>
                <td>${coatsText(layer, parts, units)}</td>
                <td class="number">${layer.dryThickness > 0 ? measureText(layer.dryThickness, "thickness", units) : "–"}</td>
                <td class="number">${measureText(layer.quantity.ledger.dispensed, "volume", units)}</td>
                <td>
                  ${layer.containers.map(({ size, count }) => html`<span class="can">${count} × ${measureText(size, "volume", units)}</span> `)}
                </td>
                ${voc ? html`<td class="number">${layer.voc ? measureText(layer.voc.lessWater ?? layer.voc.material, "massPerVolume", units) : "–"}</td>` : nothing}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      ${
        voc
          ? html`<p class="soft">
              VOC: volatile organic compounds of the ready mix less water, estimated from what evaporates. For information: the
              label and the local rule decide.
            </p>`
          : nothing
      }`;
  }

  #draw(value: JobBatch): ChartDraw {
    if (this.#drawn?.value === value) return this.#drawn.ledger;
    const { units } = value.settings;
    const most = Math.max(...value.layers.map(({ quantity }) => quantity.ledger.dispensed));
    // One unit for the whole axis: the one that the largest layer is told in.
    const unit = measureText(most, "volume", units).split(" ").slice(1).join(" ");
    const factor =
      unit === "L"
        ? 0.001
        : unit === "gal"
          ? 1 / fromShown(128, "volume", "us")
          : toShown(1, "volume", units);
    const rows = value.layers.map(({ name, quantity: { ledger } }) => ({
      label: name,
      total: measureText(ledger.dispensed, "volume", units),
      amounts: [
        ledger.onParts,
        ledger.overspray,
        ledger.testPanels,
        ledger.cupAndHose,
        Math.max(0, ledger.reserve + ledger.rounding),
      ].map((amount) => amount * factor),
    }));
    const ledger: ChartDraw = (Plot, size) => ledgerChart(Plot, { rows, unit }, size);
    this.#drawn = { value, ledger };
    return ledger;
  }

  #ledgerSummary({ layers }: JobBatch): string {
    return layers
      .map(
        ({ name, quantity: { ledger } }) =>
          `${name}: ${percentText(ledger.onParts / ledger.dispensed)} ends up on the parts`,
      )
      .join("; ");
  }

  #cautions({ cautions }: JobBatch) {
    return html`<details>
      <summary>Cautions for this job (${cautions.length})</summary>
      <ul class="cautions">
        ${cautions.map(
          ({ text, pointer }) => html`<li>${text}<br /><span class="soft">See ${pointer}.</span></li>`,
        )}
      </ul>
    </details>`;
  }

  static override styles = [
    ...viewStyles,
    css`
      .pots {
        display: grid;
        grid-template-columns: repeat(auto-fit, minmax(min(100%, 340px), 1fr));
        gap: 16px 32px;
        align-items: start;
        margin-block: 14px;
      }
      td.number {
        white-space: nowrap;
      }
      .can {
        display: inline-block;
        white-space: nowrap;
        margin-inline-end: 12px;
      }
      .wide-table {
        min-inline-size: 620px;
      }
      td.number + td:not(.number),
      th.number + th:not(.number) {
        padding-inline-start: 20px;
      }
      caption {
        text-align: start;
        font-weight: 700;
      }
      .cautions {
        padding-inline-start: 1.2rem;
        max-inline-size: 75ch;
      }
      .cautions li {
        margin-block-end: 10px;
      }
    `,
  ];
}
