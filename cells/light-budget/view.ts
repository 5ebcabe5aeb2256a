import "../../src/controls/boleChart.ts";
import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { budgetChart } from "../../src/charts/budgetChart.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { percentText } from "../../src/controls/numbers.ts";
import { partAndWavelength } from "../../src/controls/partAndWavelength.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { LightBudget } from "../../src/optics/budget.ts";
import { type BudgetOfPart, budget } from "./define.ts";

const tag = "bole-view-light-budget";
export default tag;

const grid = wavelengths(workingGrid);

@customElement(tag)
export class LightBudgetView extends CellView<BudgetOfPart, ParameterValues<typeof budget.parameters>> {
  #drawn: { value: BudgetOfPart; layered: ChartDraw | undefined; bare: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { layered, bare } = this.#draw(value);
    const { wavelength, part } = value;
    const i = Math.round((wavelength - grid[0]) / 10);
    const { name } = part.substrate;
    return html`
      <div class="beside">${this.verdictLine()} ${partAndWavelength(this, budget.parameters, value.parts)}</div>
      <div class="beside">
      ${
        layered
          ? html`<bole-chart
              label=${`${name} with the basecoat`}
              .summary=${summary(value.withBasecoat!, i, wavelength, true)}
              .draw=${layered}
              .height=${255}
            ></bole-chart>`
          : nothing
      }
      <bole-chart
        label=${`${name} without basecoat`}
        .summary=${summary(value.bare, i, wavelength, false)}
        .draw=${bare}
        .height=${255}
      ></bole-chart>
      </div>
    `;
  }

  #draw(value: BudgetOfPart) {
    if (this.#drawn?.value === value) return this.#drawn;
    const draw = (light: LightBudget): ChartDraw => {
      const bands = [
        { label: `swallowed by ${value.part.substrate.name}`, share: light.substrate, colour: "#3c3c3c" },
        ...(light.layers.length > 1
          ? [{ label: "swallowed by the basecoat", share: light.layers[1], colour: "#8d8d8d" }]
          : []),
        { label: "swallowed by the colour", share: light.layers[0], colour: "#b9b9b9" },
        { label: "comes back", share: light.reflected, colour: "#ffffff" },
      ];
      return (Plot, size) => budgetChart(Plot, { wavelengths: grid, bands, marked: value.wavelength }, size);
    };
    this.#drawn = {
      value,
      layered: value.withBasecoat && draw(value.withBasecoat),
      bare: draw(value.bare),
    };
    return this.#drawn;
  }

  static override styles = viewStyles;
}

function summary(light: LightBudget, i: number, wavelength: number, layered: boolean): string {
  const shares = [
    `${percentText(light.reflected[i])} comes back`,
    `${percentText(light.layers[0][i])} is swallowed by the colour`,
    ...(layered ? [`${percentText(light.layers[1][i])} by the basecoat`] : []),
    `${percentText(light.substrate[i])} by the part`,
  ];
  return `At ${wavelength} nm: ${shares.join(", ")}`;
}
