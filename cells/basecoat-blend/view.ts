import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { Eye } from "../../src/coating/eye.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { LabText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { reflectivityInto } from "../../src/optics/film.ts";
import type { Basecoat } from "../../src/ports/basecoat.ts";
import type { PigmentSet } from "../../src/ports/pigmentSet.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { basecoatBlend, groundPaintsOf } from "./define.ts";

const tag = "bole-view-basecoat-blend";
export default tag;

const eye = new Eye({
  weights: weightsFor("1964-10", "D65"),
  surface: { externalReflection: 0.04, internalReflection: 0.6 },
  sheen: 0.25,
});

@customElement(tag)
export class BasecoatBlendView extends CellView<
  Basecoat,
  ParameterValues<typeof basecoatBlend.parameters>,
  { paints: PigmentSet; tints: PigmentSet }
> {
  protected override render() {
    const field = (name: keyof typeof basecoatBlend.parameters, as?: "slider") =>
      parameterField(this, basecoatBlend.parameters, name, as);
    const { value } = this;
    const three = this.parameters.paints.length > 2;
    return html`
      <div class="beside">
        <div>
          ${this.verdictLine()} ${field("ratio", "slider")} ${three ? field("thirdShare", "slider") : nothing}
          <details>
            <summary>Paints and coats</summary>
            <div class="fields">${this.#choices()} ${field("coats")} ${field("wetThickness")}</div>
          </details>
        </div>
        ${value ? this.#panels(value) : nothing}
      </div>
    `;
  }

  #panels(value: Basecoat) {
    const viewing = { weights: eye.conditions.weights, gamut: "srgb" as const };
    const internal = new Float64Array(value.absorption.length);
    const opaque = (film: { absorption: Float64Array; scattering: Float64Array }) => {
      reflectivityInto(film.absorption, film.scattering, internal);
      return eye.see(internal);
    };
    return html`<div class="panels">
      ${[...value.paints, { ...value, name: "The blend" }].map((film) => {
        const { XYZ, Lab } = opaque(film);
        return panel({ label: film.name, subLabel: LabText(Lab) }, XYZ, viewing);
      })}
    </div>`;
  }

  #choices() {
    const { paints: set, tints } = this.linked;
    if (!set) return nothing;
    const options = groundPaintsOf(set, tints).map(({ id, name }) => ({ value: id, label: name }));
    const ids = this.value?.paints.map((paint) => paint.id) ?? this.parameters.paints;
    return [0, 1, 2].map(
      (index) => html`<bole-choice
        .label=${["First paint", "Second paint", "Third paint"][index]}
        .options=${index === 2 ? [{ value: "", label: "none" }, ...options] : options}
        .value=${ids[index] ?? ""}
        @change=${(event: CustomEvent<{ value: string }>) => {
          const paints = [...ids];
          paints[index] = event.detail.value;
          this.set({ paints: paints.filter((id) => id) });
        }}
      ></bole-choice>`,
    );
  }

  static override styles = viewStyles;
}
