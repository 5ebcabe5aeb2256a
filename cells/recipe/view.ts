import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { live } from "lit/directives/live.js";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText, LabText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { RecipePreview } from "../../src/ports/recipe.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { shownUnit, smallVolume } from "../../src/units/units.ts";
import { type RecipeInputs, type RecipeValue, recipe } from "./define.ts";
import type { Rule } from "./model/match.ts";
import type { FoundRecipe } from "./model/search.ts";
import "./view/searchPanel.ts";

const tag = "bole-view-recipe";
export default tag;

@customElement(tag)
export class RecipeView extends CellView<
  RecipeValue,
  ParameterValues<typeof recipe.parameters>,
  RecipeInputs
> {
  protected override render() {
    const { amounts } = this.parameters;
    const total = amounts.reduce((sum, { volume }) => sum + volume, 0);
    const components = this.linked.pigments?.components ?? [];
    const absent = components.filter(
      (component) => !amounts.some((amount) => amount.component === component.id),
    );
    return html`
      <div class="beside">
      <div>
      ${this.verdictLine()}
      ${this.value?.preview && this.linked.viewing ? this.#preview(this.value.preview, this.linked.viewing) : nothing}
      <div class="row">
        ${
          absent.length > 0
            ? html`<bole-choice
                label="Add a component"
                .options=${[{ value: "", label: "choose…" }, ...absent.map((c) => ({ value: c.id, label: c.name }))]}
                .value=${live("")}
                @change=${(event: CustomEvent<{ value: string }>) => this.#add(event.detail.value)}
              ></bole-choice>`
            : nothing
        }
        ${
          this.linked.target
            ? html`<button class="act" ?disabled=${this.acting === "fit"} @click=${() => this.act("fit")}>
                ${recipe.actions?.fit.label}
              </button>`
            : nothing
        }
      </div>
      </div>
      <div>
      <div class="amounts">
        ${amounts.map((amount, index) => this.#amount(amount, index, total))}
      </div>
      ${this.value ? html`<p class="soft">Total ${smallVolume(total, this.units)} ${shownUnit("volume", this.units).unit}, ${this.#grams(this.value).toFixed(2)} g · pigment loading ${percentText(this.value.mix.loading, 1)} · volume solids ${percentText(this.value.mix.volumeSolids, 1)}</p>` : nothing}
      </div>
      </div>
      ${this.value?.limitWords.map((words) => html`<p class="soft">${this.inUnits(words)}</p>`) ?? nothing}
      ${this.#search()}
    `;
  }

  #search() {
    const { found, rules } = this.parameters;
    const field = (name: keyof typeof recipe.parameters) => parameterField(this, recipe.parameters, name);
    return html`
      <details ?open=${found !== null}>
        <summary>Search every combination of pastes</summary>
        <div class="fields">${field("maxPastes")} ${field("maxLoading")} ${field("leastDose")} ${field("balanceStep")}</div>
        <p>
          <button class="act" ?disabled=${this.acting === "search"} @click=${() => this.act("search")}>
            ${recipe.actions?.search.label}
          </button>
        </p>
        <bole-recipe-search
          .found=${found}
          .recipe=${this.value}
          .viewing=${this.linked.viewing}
          .components=${this.linked.pigments?.components ?? []}
          .rules=${rules}
          .units=${this.units}
          @bole-take=${(event: CustomEvent<FoundRecipe>) => this.#take(event.detail)}
          @bole-rules=${(event: CustomEvent<Rule[]>) => this.set({ rules: event.detail })}
        ></bole-recipe-search>
      </details>
    `;
  }

  /** A found recipe is per 100 mL; the mix keeps its total. */
  #take(found: FoundRecipe): void {
    const total = this.parameters.amounts.reduce((sum, { volume }) => sum + volume, 0) || 100;
    const sum = found.amounts.reduce((all, { volume }) => all + volume, 0);
    this.set({
      amounts: found.amounts.map(({ component, volume }) => ({
        component,
        volume: Math.round((volume / sum) * total * 1e4) / 1e4,
      })),
    });
  }

  #grams({ components, volumes }: RecipeValue): number {
    return components.reduce((sum, { density }, i) => sum + density * volumes[i], 0);
  }

  #amount({ component: id, volume }: { component: string; volume: number }, index: number, total: number) {
    const component = this.linked.pigments?.components.find((candidate) => candidate.id === id);
    const { unit, per } = shownUnit("volume", this.units);
    const most = component?.role === "binder" ? Math.max(200, volume) : Math.max(10, 2 * Math.ceil(volume));
    const set = (live: boolean) => (event: CustomEvent<{ value: number }>) => {
      const volume = Math.round(event.detail.value * per * 1e4) / 1e4;
      const amounts = this.parameters.amounts.map((one, at) => (at === index ? { ...one, volume } : one));
      this.set({ amounts }, live);
    };
    return html`<div class="amount">
      <bole-slider
        .label=${component?.name ?? `“${id}” (not on the shelf)`}
        .unit=${unit}
        .value=${volume / per}
        .min=${0}
        .max=${most / per}
        .step=${per === 1 ? 0.01 : 0.001}
        .digits=${per === 1 ? 2 : 3}
        hint-beside
        .hint=${component ? `${(volume * component.density).toFixed(2)} g · ${total > 0 ? percentText(volume / total, 1) : "0 %"}` : ""}
        @input=${set(true)}
        @change=${set(false)}
      ></bole-slider>
      <button
        aria-label=${`Take ${component?.name ?? id} out of the recipe`}
        @click=${() => this.set({ amounts: this.parameters.amounts.filter((_, at) => at !== index) })}
      >×</button>
    </div>`;
  }

  #add(component: string): void {
    if (component) this.set({ amounts: [...this.parameters.amounts, { component, volume: 0 }] });
  }

  #preview({ opaque, target, opaqueDifference, worst, doubt }: RecipePreview, viewing: Viewing) {
    return html`<div>${
      doubt
        ? html`<p>
            From the doubt of K and S alone ${viewing.formula} lies between ${differenceText(doubt.low)} and
            ${differenceText(doubt.high)} (90 %).
          </p>`
        : nothing
    }
      <div class="panels moves">
      ${panel(
        {
          label: "In a film that hides everything",
          subLabel: target
            ? `${viewing.formula} ${differenceText(opaqueDifference)}: ${tradeWords(target.Lab, opaque.Lab).short}`
            : LabText(opaque.Lab),
          sampleLabel: "mix",
        },
        opaque.XYZ,
        viewing,
        target?.XYZ,
      )}
      ${
        worst && target
          ? panel(
              {
                label: `As planned on ${worst.part}`,
                subLabel: `${viewing.formula} ${differenceText(worst.difference)}: ${tradeWords(target.Lab, worst.seen.Lab).short}`,
                sampleLabel: "part",
              },
              worst.seen.XYZ,
              viewing,
              target.XYZ,
            )
          : nothing
      }
    </div></div>`;
  }

  static override styles = [
    ...viewStyles,
    css`
      .amounts {
        display: grid;
        gap: 10px 24px;
        grid-template-columns: repeat(auto-fill, minmax(min(100%, 330px), 1fr));
      }
      .amount {
        display: flex;
        gap: 8px;
        align-items: end;
      }
      .amount bole-slider {
        flex: 1;
        min-width: 0;
      }
      .row {
        display: flex;
        flex-wrap: wrap;
        gap: 12px;
        align-items: end;
      }
      .act {
        font-size: 1.1rem;
      }
    `,
  ];
}
