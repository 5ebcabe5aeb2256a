import { css, html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import type { ObserverName } from "../../src/colour/observer.ts";
import { tradeWords } from "../../src/colour/tradeWords.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText, percentText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { shownUnit, smallVolume, type UnitSystem } from "../../src/units/units.ts";
import "../../src/controls/toLedger.ts";
import "../../src/controls/colourInput.ts";
import type { TakenColours } from "../../src/controls/colourInput.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ColourSample } from "../../src/exchange/colourSample.ts";
import { colourReader, typedLab } from "../../src/exchange/lazyReaders.ts";
import { oneColour } from "../../src/exchange/oneColour.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { jobPanel } from "../../src/job/panelsForLedger.ts";
import type { Panel } from "../../src/ledger/panel.ts";
import type { Coverage } from "../../src/ports/coverage.ts";
import type { Pot } from "../../src/ports/pot.ts";
import { sourceOf } from "../../src/ports/spectrum.ts";
import { specularWords } from "../../src/ports/specularParameter.ts";
import type { Additions } from "../../src/recipes/additions.ts";
import { additionList, type CorrectedPot, correction, worstOf } from "./define.ts";

const tag = "bole-view-correction";
export default tag;

@customElement(tag)
export class CorrectionView extends CellView<
  CorrectedPot,
  ParameterValues<typeof correction.parameters>,
  { coverage: Coverage }
> {
  protected override render() {
    const field = (name: keyof typeof correction.parameters) =>
      parameterField(this, correction.parameters, name);
    const { panel: reading, spectrum, awaited } = this.parameters;
    const parts = this.linked.coverage?.parts ?? [];
    return html`
      ${this.value && this.outcome.status === "ok" ? this.#verdict(this.value) : nothing}
      <h3>The test panel</h3>
      <div class="fields">
        ${field("panel")} ${reading === "none" ? nothing : field("specular")}
        <bole-choice
          label="The panel is"
          .options=${[{ value: "0", label: "so thick that it hides everything" }, ...parts.map((part, at) => ({ value: String(at + 1), label: `as planned on ${part.substrate.name}` }))]}
          .value=${String(this.parameters.panelPart)}
          @change=${(event: CustomEvent<{ value: string }>) => this.set({ panelPart: Number(event.detail.value) })}
        ></bole-choice>
        ${reading === "lab" && !awaited ? (["L", "a", "b"] as const).map(field) : nothing}
      </div>
      ${reading === "none" ? nothing : this.#readAs()}
      ${reading === "spectrum" && spectrum ? html`<p>Loaded: <strong>${sourceOf(spectrum)}</strong></p>` : nothing}
      <bole-colour-input
        label="Colour of the panel"
        stays="The panel stays as it was."
        .reader=${colourReader}
        .readText=${typedLab}
        .typing=${!this.value}
        .preview=${previewOf}
        @colours=${(event: CustomEvent<TakenColours<ColourSample>>) => this.#take(event.detail)}
      ></bole-colour-input>
      ${this.value && this.outcome.status === "ok" ? html`<bole-to-ledger .panels=${this.#panels(this.value)}></bole-to-ledger>` : nothing}
      <h3>In the pot</h3>
      ${this.#pot()}
      <details>
        <summary>Limits</summary>
        <div class="fields">${field("maxGrowth")} ${field("maxPastes")} ${field("measure")} ${field("balanceStep")} ${field("dropsPerMl")}</div>
      </details>
    `;
  }

  /** How the reading is taken, and why. */
  #readAs() {
    const { specular, readFor, panel: reading } = this.parameters;
    const words = specularWords(specular, this.linked.coverage?.target);
    if (reading !== "lab" || !readFor) return html`<p class="soft">${words}</p>`;
    return html`<p class="soft">
      ${words} Its Lab is stated for ${readFor.illuminant} and the ${readFor.observer === "1931-2" ? "2°" : "10°"} observer; it is
      brought to the viewing cell by the smoothest curve with this Lab.
      <button @click=${() => this.set({ readFor: null })}>It is stated as the viewing cell looks</button>
    </p>`;
  }

  #panels({ coverage, components, pot, read }: CorrectedPot): Panel[] {
    const { part, reading } = read;
    const panel = jobPanel({
      coverage,
      components,
      volumes: pot,
      part,
      reading,
      label: `Test panel: ${this.cell.title}`.slice(0, 200),
      date: new Date().toISOString().slice(0, 10),
      origin: this.cell.title,
    });
    return panel ? [panel] : [];
  }

  /** No figure stands for a panel before a person has given one. */
  override change(patch: Record<string, unknown>, live: boolean): void {
    const begins = patch.panel === "lab" && this.parameters.panel !== "lab" && !("awaited" in patch);
    super.change(begins ? { ...patch, awaited: true } : patch, live);
  }

  #take({ samples, from, conditions, assumptions }: TakenColours<ColourSample>): void {
    const colour = oneColour(samples, from, conditions, assumptions);
    const specular = colour.specular ? { specular: colour.specular } : {};
    if (colour.kind === "spectrum") this.set({ panel: "spectrum", spectrum: colour.spectrum, ...specular });
    else {
      const { L, a, b } = colour.Lab;
      this.set({ panel: "lab", L, a, b, awaited: false, readFor: this.#readFor(colour), ...specular });
    }
  }

  /** Light and observer of a Lab where they are said and are not those of the viewing cell. */
  #readFor({ observer, illuminant }: { observer: ObserverName | undefined; illuminant: string | undefined }) {
    const weights = this.linked.coverage?.viewing.weights;
    if (!weights || (!observer && !illuminant)) return null;
    const said = { observer: observer ?? weights.observer, illuminant: illuminant ?? weights.illuminant };
    return said.observer === weights.observer && said.illuminant === weights.illuminant ? null : said;
  }

  #verdict(value: CorrectedPot) {
    const { correction: result, coverage, components, potVolume, panelXYZ, targetXYZ, panelLab } = value;
    const { additions } = result;
    const before = worstOf(result.differencesBefore);
    const target = coverage.targetSeen!;
    return html`
      ${this.verdictLine(false)}
      ${result.wayOut && additions ? html`<p>${sentence(result.wayOut)}</p>` : nothing}
      ${additions ? this.#additions(additions, value, before) : nothing}
      ${this.#byPours(value)}
      <div class="panels">
        ${panel(
          {
            label: "The panel as read",
            subLabel: tradeWords(target.Lab, panelLab).text,
            sampleLabel: "panel",
          },
          panelXYZ,
          coverage.viewing,
          targetXYZ,
        )}
      </div>
      ${
        result.alternatives.length > 0
          ? html`<details>
              <summary>Other ways (${result.alternatives.length})</summary>
              <ul>
                ${result.alternatives.map(
                  (other) => html`<li>
                    ${listed(other, components, this.units)} ΔE00 ${differenceText(worstOf(other.differences))}, the batch grows by ${percentText(other.growth, 1)}
                  </li>`,
                )}
              </ul>
            </details>`
          : nothing
      }
      <p class="soft">${this.inUnits(`Computed for ${potVolume.toFixed(1)} mL in the pot.`)}</p>
    `;
  }

  /** What fewer pours can do, where the proposal takes more. */
  #byPours({ correction: result, components }: CorrectedPot) {
    const fewer = result.byPours.filter(({ pours }) => pours < (result.additions?.pours ?? 9));
    if (fewer.length === 0) return nothing;
    return html`<ul>
      ${fewer.map(
        (way) => html`<li>
          In ${way.pours === 1 ? "one pour" : "two pours"} at best: ${listed(way, components, this.units)} ΔE00
          ${differenceText(worstOf(way.differences))}, the batch grows by ${percentText(way.growth, 1)}.
        </li>`,
      )}
    </ul>`;
  }

  #additions(
    additions: Additions,
    { components, correction: result, dropsPerMl }: CorrectedPot,
    before: number,
  ) {
    return html`
      <p class="verdict">
        Add to the pot: expected ΔE00 on the worst part from ${differenceText(before)} to
        <strong>${differenceText(worstOf(additions.differences))}</strong>. It aims at ${differenceText(result.aim)}: the tolerance of
        ${differenceText(result.tolerance)} less the doubt of reading and prediction, ${differenceText(result.doubt)}, but not
        below half the tolerance.
      </p>
      <table>
        <thead>
          <tr><th scope="col">Add</th><th scope="col" class="number">${shownUnit("volume", this.units).unit}</th><th scope="col" class="number">g</th><th scope="col" class="number">drops</th></tr>
        </thead>
        <tbody>
          ${additionList(additions, components).map(
            ({ name, role, millilitres, grams }) => html`<tr>
              <th scope="row">${name}</th>
              <td class="number">${smallVolume(millilitres, this.units)}</td>
              <td class="number"><strong>${grams.toFixed(2)}</strong></td>
              <td class="number">${role === "paste" ? Math.round(millilitres * dropsPerMl) : "–"}</td>
            </tr>`,
          )}
        </tbody>
      </table>
      <p><button @click=${() => this.#added(additions)}>I have added this: keep it as the pot</button></p>
    `;
  }

  #added(additions: Additions): void {
    const { components, pot } = this.value!;
    const now: Pot = components.flatMap(({ id }, j) => {
      const volume = Math.round((pot[j] + additions.volumes[j]) * 1e4) / 1e4;
      return volume > 0 ? [{ component: id, volume }] : [];
    });
    // The old panel no longer belongs to the pot.
    this.set({ pot: now, panel: "none", spectrum: null });
  }

  #pot() {
    const { pot } = this.parameters;
    const recipe = this.linked.coverage?.recipe;
    if (!pot) {
      return html`<div class="fields">
        ${parameterField(this, correction.parameters, "potVolume")}
        <button class="level" ?disabled=${!recipe} @click=${() => this.#copyRecipe()}>Something else was poured: type the amounts</button>
      </div>`;
    }
    const names = new Map(
      [...(recipe?.available ?? []), ...(recipe?.components ?? [])].map(({ id, name }) => [id, name]),
    );
    const { unit, per } = shownUnit("volume", this.units);
    return html`<div class="fields">
        ${pot.map(
          ({ component, volume }, index) => html`<bole-number
            .label=${names.get(component) ?? component}
            .unit=${unit} .value=${volume / per} .min=${0} .max=${100_000 / per} .step=${0.1} .digits=${this.units === "us" ? 3 : 2}
            @change=${(event: CustomEvent<{ value: number }>) => this.set({ pot: pot.map((entry, at) => (at === index ? { ...entry, volume: Math.min(100_000, event.detail.value * per) } : entry)) })}
          ></bole-number>`,
        )}
      </div>
      <button @click=${() => this.set({ pot: null })}>Take the recipe as it stands</button>`;
  }

  #copyRecipe(): void {
    const recipe = this.linked.coverage?.recipe;
    if (!recipe) return;
    const total = recipe.volumes.reduce((sum, volume) => sum + volume, 0);
    this.set({
      pot: recipe.components.map(({ id }, j) => ({
        component: id,
        volume: Math.round(((recipe.volumes[j] * this.parameters.potVolume) / total) * 1e4) / 1e4,
      })),
    });
  }

  static override styles = [
    ...viewStyles,
    css`
      .level {
        align-self: end;
      }
    `,
  ];
}

const sentence = (text: string) => (/[.!?]$/.test(text) ? text : `${text[0].toUpperCase()}${text.slice(1)}.`);

function listed(additions: Additions, components: CorrectedPot["components"], units: UnitSystem) {
  const { unit } = shownUnit("volume", units);
  return additionList(additions, components).map(
    ({ name, millilitres, grams }) =>
      html`${smallVolume(millilitres, units)} ${unit} (${grams.toFixed(2)} g) ${name}; `,
  );
}
