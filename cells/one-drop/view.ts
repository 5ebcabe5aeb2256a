import "../../src/controls/boleChart.ts";
import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { arrowsChart } from "../../src/charts/arrowsChart.ts";
import { Eye } from "../../src/coating/eye.ts";
import type { ChartDraw } from "../../src/controls/boleChart.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { screenColour } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { filmReflectance } from "../../src/optics/film.ts";
import type { DropEffect } from "../../src/recipes/dropEffects.ts";
import { type OneDrop, oneDrop, signed } from "./define.ts";

const tag = "bole-view-one-drop";
export default tag;

@customElement(tag)
export class OneDropView extends CellView<OneDrop, ParameterValues<typeof oneDrop.parameters>> {
  #drawn: { value: OneDrop; steps: boolean; draw: ChartDraw } | undefined;

  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { coverage, effects, components } = value;
    const pastes = effects.filter((effect) => components[effect.component].role !== "binder");
    const name = (effect: DropEffect) => components[effect.component].name;
    const steps = this.parameters.arrows === "step";
    return html`
      <div class="beside">
      <bole-chart
        label=${steps ? `Moves of one step (ΔE00 1), on ${value.part}` : `${this.inUnits(`One drop in ${value.pot} mL`)}, on ${value.part}`}
        .summary=${steps ? "Every arrow is drawn as long as it gets with the number of drops beside its name, at the rate of the first drop. The dotted line leads to more strength." : "The dotted line leads to more strength."}
        .draw=${this.#draw(value)}
        .height=${380}
      ></bole-chart>
      <div>
      ${this.verdictLine()}
      <div class="fields">
        ${parameterField(this, oneDrop.parameters, "pot")} ${parameterField(this, oneDrop.parameters, "arrows")}
        <bole-choice
          label="Part"
          .options=${coverage.parts.map((part, at) => ({ value: String(at + 1), label: part.substrate.name }))}
          .value=${String(this.parameters.part)}
          @change=${(event: CustomEvent<{ value: string }>) => this.set({ part: Number(event.detail.value) })}
        ></bole-choice>
      </div>
      <details>
      <summary>Moves in figures</summary>
      <div class="scroll" tabindex="0" role="region" aria-label="Moves in figures">
        <table>
          <thead>
            <tr>
              <th scope="col">One drop of</th>
              <th scope="col" class="number">L*</th>
              <th scope="col" class="number">C*</th>
              <th scope="col" class="number">h, degrees</th>
              <th scope="col" class="number">ΔE00</th>
              <th scope="col">In words</th>
            </tr>
          </thead>
          <tbody>
            ${[...pastes]
              .sort((a, b) => b.difference - a.difference)
              .map(
                (effect) => html`<tr>
                  <th scope="row">${name(effect)}</th>
                  <td class="number">${signed(effect.lightness)}</td>
                  <td class="number">${signed(effect.chroma)}</td>
                  <td class="number">${signed(effect.hue)}</td>
                  <td class="number">${effect.difference.toFixed(2)}</td>
                  <td class="words">${effect.words}</td>
                </tr>`,
              )}
          </tbody>
        </table>
      </div>
      </details>
      </div>
      </div>
    `;
  }

  #draw(value: OneDrop): ChartDraw {
    const steps = this.parameters.arrows === "step";
    if (this.#drawn?.value === value && this.#drawn.steps === steps) return this.#drawn.draw;
    const { coverage, effects, components, Lab } = value;
    const { weights, surface, gamut } = coverage.viewing;
    const eye = new Eye({ weights, surface, sheen: 0 });
    /** Each arrow in the colour of its paste, as a thin film on white. */
    const colourOf = (index: number) => {
      const { absorption, scattering } = components[index];
      const film = absorption.map((K, i) => filmReflectance(K, scattering[i], 8, 0.85));
      return screenColour(eye.see(film).XYZ, { weights, gamut }).css;
    };
    const data = {
      hue: (Math.atan2(Lab[2], Lab[1]) * 180) / Math.PI,
      moves: effects
        .filter((effect) => components[effect.component].role !== "binder")
        .map(({ component, a, b, lightness, difference }) => {
          const drops = steps && difference > 0 ? 1 / difference : 1;
          const label = components[component].colourIndex ?? components[component].name;
          return {
            label: steps ? `${label} ×${drops < 9.95 ? drops.toFixed(1) : drops.toFixed(0)}` : label,
            a: a * drops,
            b: b * drops,
            lightness: lightness * drops,
            colour: colourOf(component),
          };
        }),
    };
    const draw: ChartDraw = (Plot, size) => arrowsChart(Plot, data, size);
    this.#drawn = { value, steps, draw };
    return draw;
  }

  static override styles = [
    ...viewStyles,
    css`
      .words {
        white-space: nowrap;
      }
    `,
  ];
}
