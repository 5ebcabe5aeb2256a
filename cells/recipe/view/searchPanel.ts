import { css, html, LitElement, nothing } from "lit";
import { customElement, property } from "lit/decorators.js";
import type { Component } from "../../../src/coating/component.ts";
import { differenceText } from "../../../src/controls/numbers.ts";
import { panel } from "../../../src/controls/panelColour.ts";
import { viewStyles } from "../../../src/controls/viewStyles.ts";
import type { Viewing } from "../../../src/ports/viewing.ts";
import type { UnitSystem } from "../../../src/units/units.ts";
import { wordsIn } from "../../../src/units/wordsIn.ts";
import type { RecipeValue } from "../define.ts";
import type { Rule } from "../model/match.ts";
import type { Found, FoundRecipe } from "../model/search.ts";

/**
 * The short list of a search: what each recipe gives, why it ranks there, and the button that takes it.
 * Events: `bole-take` (FoundRecipe), `bole-rules` (Rule[]).
 */
@customElement("bole-recipe-search")
export class RecipeSearchPanel extends LitElement {
  @property({ attribute: false }) found: Found | null = null;
  @property({ attribute: false }) recipe: RecipeValue | undefined;
  @property({ attribute: false }) viewing: Viewing | undefined;
  @property({ attribute: false }) components: readonly Component[] = [];
  @property({ attribute: false }) rules: readonly Rule[] = [];
  @property() units: UnitSystem = "metric";

  protected override render() {
    return html`${this.found ? this.#list(this.found) : nothing} ${this.#rulesEditor()}`;
  }

  #list(found: Found) {
    const stale = this.recipe?.foundIsStale ?? true;
    return html`
      ${
        stale
          ? html`<p class="stale-note"><strong>From an earlier question.</strong> The target, the ground, the shelf or a limit
              has changed since: search again. The colours below are those of today.</p>`
          : nothing
      }
      <p class="soft">
        The best of ${found.choices.toLocaleString("en-GB")} combinations${found.ruledOut > 0 ? html`; ${found.ruledOut.toLocaleString("en-GB")} of them were proved worse without working them out` : nothing}.
      </p>
      <ol class=${stale ? "cards stale" : "cards"}>
        ${found.recipes.map((recipe, index) => this.#card(recipe, index, found.lights))}
      </ol>
    `;
  }

  #card(recipe: FoundRecipe, index: number, lights: readonly string[]) {
    const preview = this.recipe?.foundPreviews[index];
    const { viewing, units } = this;
    const shown = preview?.worst?.seen ?? preview?.opaque;
    const name = (id: string) => this.components.find((component) => component.id === id)?.name ?? id;
    const pastes = recipe.amounts.filter(({ component }) => this.#role(component) !== "binder");
    return html`<li>
      ${
        shown && viewing
          ? panel(
              {
                label: `${index + 1}. ${viewing.formula} ${differenceText(preview?.worst?.difference ?? preview?.opaqueDifference)}`,
                subLabel: recipe.worstPart ? `on ${recipe.worstPart}` : "in a film that hides everything",
              },
              shown.XYZ,
              viewing,
              preview?.target?.XYZ,
            )
          : html`<p>${index + 1}. A component of it is not on the shelf.</p>`
      }
      <div>
        <p class="soft">${wordsIn("In 100 mL of the mix:", units)}</p>
        <ul class="inline">
          ${pastes.map(({ component, volume }) => html`<li><strong>${wordsIn(`${volume.toFixed(2)} mL`, units)}</strong> ${name(component)}</li>`)}
        </ul>
        <p>${wordsIn(recipe.reason, units)}</p>
        <p class="soft">
          ${recipe.inLights.map((value, l) => html`${lights[l]} ${differenceText(value)}${l < recipe.inLights.length - 1 ? " · " : ""}`)}
          ${recipe.cost === null ? nothing : html` · ${wordsIn(`${(recipe.cost / 100).toFixed(3)} per mL`, units)}`}
        </p>
        ${recipe.warnings.map((warning) => html`<p class="soft">Mind: ${wordsIn(warning, units)}.</p>`)}
        ${recipe.similar.length > 0 ? html`<p class="soft">All but the same with ${recipe.similar.map((pastes) => pastes.join(" + ")).join("; or ")}.</p>` : nothing}
        <button @click=${() => this.#emit("bole-take", recipe)}>Take recipe ${index + 1}</button>
      </div>
    </li>`;
  }

  #role(id: string) {
    return this.components.find((component) => component.id === id)?.role;
  }

  #rulesEditor() {
    const pastes = this.components.filter((component) => component.role === "paste");
    return html`<details>
      <summary>Rules for single pastes${this.rules.length > 0 ? ` (${this.rules.length})` : ""}</summary>
      <div class="scroll" tabindex="0" role="region" aria-label="Rules for single pastes">
        <table>
          <thead>
            <tr><th scope="col">Paste</th><th scope="col">Use</th><th scope="col">At most, % by volume</th></tr>
          </thead>
          <tbody>
            ${pastes.map((paste) => {
              const rule = this.rules.find((candidate) => candidate.component === paste.id);
              return html`<tr>
                <th scope="row">${paste.name}</th>
                <td>
                  <bole-choice
                    label=${`Use of ${paste.name}`}
                    .options=${uses}
                    .value=${rule?.use ?? "free"}
                    @change=${(event: CustomEvent<{ value: Rule["use"] }>) => this.#setRule(paste.id, { use: event.detail.value })}
                  ></bole-choice>
                </td>
                <td>
                  <bole-number
                    label=${`Most ${paste.name}`}
                    .value=${rule?.most ?? 100} .min=${0} .max=${100} .step=${1} .digits=${1}
                    @change=${(event: CustomEvent<{ value: number }>) => this.#setRule(paste.id, { most: event.detail.value })}
                  ></bole-number>
                </td>
              </tr>`;
            })}
          </tbody>
        </table>
      </div>
    </details>`;
  }

  #setRule(component: string, patch: Partial<Rule>): void {
    const before = this.rules.find((rule) => rule.component === component);
    const rule: Rule = { component, use: "free", ...before, ...patch };
    if (rule.most === 100) delete rule.most;
    const others = this.rules.filter((other) => other.component !== component);
    const plain = rule.use === "free" && rule.most === undefined;
    this.#emit("bole-rules", plain ? others : [...others, rule]);
  }

  #emit(type: string, detail: unknown): void {
    this.dispatchEvent(new CustomEvent(type, { detail }));
  }

  static override styles = [
    ...viewStyles,
    css`
      .cards {
        list-style: none;
        padding: 0;
        display: grid;
        gap: 14px;
      }
      .cards > li {
        display: grid;
        grid-template-columns: minmax(150px, 220px) 1fr;
        gap: 16px;
        border-top: 1px solid var(--bole-hairline);
        padding-top: 12px;
      }
      .cards p {
        margin: 4px 0;
      }
      @media (max-width: 560px) {
        .cards > li {
          grid-template-columns: 1fr;
        }
      }
    `,
  ];
}

const uses = [
  { value: "free", label: "as it fits" },
  { value: "never", label: "never" },
  { value: "always", label: "always" },
];
