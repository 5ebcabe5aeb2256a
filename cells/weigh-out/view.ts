import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { usualDropsPerMl } from "../../src/coating/drops.ts";
import { inventedAmong } from "../../src/coating/invented.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { dropsPerMlOf } from "../../src/ports/drops.ts";
import { dropsPerMlCounted } from "../../src/recipes/dispense.ts";
import { shownUnit, smallVolume } from "../../src/units/units.ts";
import { plural } from "../../src/words/plural.ts";
import { type WeighedOut, weighOut } from "./define.ts";

const tag = "bole-view-weigh-out";
export default tag;

@customElement(tag)
export class WeighOutView extends CellView<WeighedOut, ParameterValues<typeof weighOut.parameters>> {
  @state() private counted = { component: "", drops: 40, grams: 2 };

  protected override render() {
    const { value } = this;
    const field = (name: keyof typeof weighOut.parameters) => parameterField(this, weighOut.parameters, name);
    return html`
      <div class="beside">
        <div>
          ${this.verdictLine(false)}
          <div class="fields">${field("batch")} ${field("measure")} ${field("step")}</div>
        </div>
        ${value ? html`<div>${this.#table(value)} ${this.#invented(value)}</div>` : nothing}
      </div>
      ${value && this.parameters.measure !== "grams" ? this.#counting(value) : nothing}
    `;
  }

  #invented({ coverage: { recipe } }: WeighedOut) {
    const invented = inventedAmong(recipe.components, recipe.volumes);
    if (invented.length === 0) return nothing;
    return html`<p><strong>Invented pastes:</strong> ${invented.join(", ")}. Weigh out your own when they are on the shelf.</p>`;
  }

  #table({ doses, coverage, batch, grams }: WeighedOut) {
    const { components } = coverage.recipe;
    return html`<div class="scroll" tabindex="0" role="region" aria-label="Doses">
      <table>
        <caption class="unseen">What to measure out, in the order of pouring</caption>
        <thead>
          <tr>
            <th scope="col">Pour</th>
            <th scope="col" class="number">Dose</th>
            <th scope="col" class="number">Balance then shows</th>
            <th scope="col" class="number">${shownUnit("volume", this.units).unit}</th>
          </tr>
        </thead>
        <tbody>
          ${doses.map(
            (dose) => html`<tr>
              <th scope="row">${components[dose.component].name}</th>
              <td class="number">
                <strong>${dose.unit === "drops" ? plural(dose.steps, "drop") : `${dose.grams.toFixed(2)} g`}</strong>
              </td>
              <td class="number">${dose.cumulativeGrams.toFixed(2)} g</td>
              <td class="number">${smallVolume(dose.volume, this.units)}</td>
            </tr>`,
          )}
          <tr>
            <th scope="row">Total</th>
            <td class="number">${grams.toFixed(2)} g</td>
            <td></td>
            <td class="number">${smallVolume(batch, this.units)}</td>
          </tr>
        </tbody>
      </table>
    </div>`;
  }

  #counting({ coverage }: WeighedOut) {
    const pastes = coverage.recipe.components.filter((component) => component.role !== "binder");
    const { component, drops, grams } = this.counted;
    const chosen = pastes.find((paste) => paste.id === component) ?? pastes[0];
    if (!chosen) return nothing;
    const perMl = drops >= 1 && grams > 0 ? dropsPerMlCounted(drops, grams, chosen.density) : Number.NaN;
    return html`<details>
      <summary>How large is a drop of each bottle?</summary>
      <p>
        Count drops onto the balance and type what they weigh. Until then a bottle counts as ${usualDropsPerMl} drops to the mL.
      </p>
      <ul>
        ${pastes.map((paste) => html`<li>${paste.name}: ${dropsPerMlOf(paste.id, this.parameters.drops).toFixed(1)} drops to the mL</li>`)}
      </ul>
      <div class="fields">
        <bole-choice
          label="Bottle"
          .options=${pastes.map((paste) => ({ value: paste.id, label: paste.name }))}
          .value=${chosen.id}
          @change=${(event: CustomEvent<{ value: string }>) => (this.counted = { ...this.counted, component: event.detail.value })}
        ></bole-choice>
        <bole-number
          label="Drops counted" .value=${drops} .min=${1} .max=${2000} .step=${1} .digits=${0}
          @change=${(event: CustomEvent<{ value: number }>) => (this.counted = { ...this.counted, drops: event.detail.value })}
        ></bole-number>
        <bole-number
          label="They weigh" unit="g" .value=${grams} .min=${0.01} .max=${1000} .step=${0.01} .digits=${2}
          @change=${(event: CustomEvent<{ value: number }>) => (this.counted = { ...this.counted, grams: event.detail.value })}
        ></bole-number>
        <button
          ?disabled=${!(perMl >= 2 && perMl <= 200)}
          @click=${() => this.set({ drops: [...this.parameters.drops.filter((entry) => entry.component !== chosen.id), { component: chosen.id, perMl: Math.round(perMl * 100) / 100 }] })}
        >
          Keep ${Number.isFinite(perMl) ? perMl.toFixed(1) : "–"} drops to the mL
        </button>
      </div>
    </details>`;
  }

  static override styles = viewStyles;
}
