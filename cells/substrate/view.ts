import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { seenFromMeasured } from "../../src/coating/eye.ts";
import { assumedCurve } from "../../src/controls/assumedCurve.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { LabText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { measureText } from "../../src/units/units.ts";
import "../../src/controls/colourInput.ts";
import type { TakenColours } from "../../src/controls/colourInput.ts";
import "../../src/controls/saveButtons.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ColourSample } from "../../src/exchange/colourSample.ts";
import { curveSamples, reflectanceFiles } from "../../src/exchange/exportFiles.ts";
import { colourReader, typedLab } from "../../src/exchange/lazyReaders.ts";
import { previewOf } from "../../src/exchange/preview.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import { sourceOf } from "../../src/ports/spectrum.ts";
import type { StatedLabParameter } from "../../src/ports/statedLab.ts";
import type { Substrate } from "../../src/ports/substrate.ts";
import { labelOfIlluminant, lightOptions } from "../../src/tables/illuminants.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { substrate } from "./define.ts";
import { takenColour } from "./view/taken.ts";

const tag = "bole-view-substrate";
export default tag;

const observers = [
  { value: "1964-10", label: "10°" },
  { value: "1931-2", label: "2°" },
];

@customElement(tag)
export class SubstrateView extends CellView<Substrate, ParameterValues<typeof substrate.parameters>> {
  protected override render() {
    const field = (name: keyof typeof substrate.parameters) =>
      parameterField(this, substrate.parameters, name);
    const { spectrum, Lab } = this.parameters;
    return html`
      ${this.verdictLine(false)}
      <div class="fields">
        ${this.value ? this.#panel(this.value) : nothing} ${this.#size()} ${field("count")} ${field("moreCoats")}
      </div>
      <details>
        <summary>Shape, grain, material</summary>
        <div class="fields">${field("shape")} ${field("textureFactor")} ${field("material")} ${field("units")}</div>
      </details>
      <details ?open=${!spectrum && !Lab}>
        <summary>${spectrum ? `Measured: ${sourceOf(spectrum)}` : Lab ? `Known as Lab: ${LabText([Lab.L, Lab.a, Lab.b])}` : "Its colour"}</summary>
        <bole-colour-input
          label="Measured colour of the part"
          stays="The part stays as it was."
          .reader=${colourReader}
          .readText=${typedLab}
          .typing=${!spectrum && !Lab}
          .preview=${previewOf}
          .lights=${lightOptions}
          @colours=${(event: CustomEvent<TakenColours<ColourSample>>) => this.set(takenColour(event.detail, this.parameters))}
        ></bole-colour-input>
        <div class="fields">
          ${
            spectrum || Lab
              ? html`<button @click=${() => this.set({ spectrum: null, Lab: null })}>Forget the reading, use a plain grey</button>`
              : field("grey")
          }
          ${Lab ? this.#stated(Lab) : nothing}
          ${spectrum || Lab ? field("specular") : nothing} ${field("externalReflection")} ${field("internalReflection")}
        </div>
        ${
          this.value?.fromLab
            ? html`${assumedCurve(this.value.fromLab.curve, labelOfIlluminant)}
                <bole-save-buttons label="the curve made for it" .name=${this.cell.title} .files=${this.#files(this.value)}></bole-save-buttons>`
            : nothing
        }
      </details>
    `;
  }

  /** The conditions of a Lab, to be put right. */
  #stated(Lab: StatedLabParameter) {
    const choice = (
      label: string,
      what: "illuminant" | "observer",
      options: readonly { value: string; label: string }[],
    ) => html`<bole-choice
      .label=${label}
      .options=${options}
      .value=${Lab[what]}
      @change=${(event: CustomEvent<{ value: string }>) => this.set({ Lab: { ...Lab, [what]: event.detail.value } as StatedLabParameter })}
    ></bole-choice>`;
    return [
      choice("Read under", "illuminant", lightOptions),
      choice("Observer of the reading", "observer", observers),
    ];
  }

  #files({ measured }: Substrate) {
    const { title } = this.cell;
    return reflectanceFiles(
      curveSamples([{ label: title, values: measured }], "included"),
      `part "${title}", the smoothest curve with its Lab; made, not measured`,
    );
  }

  /** The measures that the chosen shape asks for, in the units they are typed in. */
  #size() {
    const { shape, units } = this.parameters;
    const names = {
      area: ["area"],
      rectangle: ["width", "length"],
      disc: ["width"],
      cushion: ["width", "length", "height"],
      roll: ["width", "length"],
    } as const;
    return names[shape].map((name) => parameterField(this, substrate.parameters, name, "box", units));
  }

  #panel(value: Substrate) {
    const weights = weightsFor("1964-10", "D65");
    const { XYZ, Lab } = seenFromMeasured(value.measured, "included", {
      weights,
      surface: { externalReflection: this.parameters.externalReflection, internalReflection: 0 },
      sheen: 0.25,
    });
    const { units } = this.parameters;
    const text = (area: number) => measureText(area, "area", units);
    const surface = value.area * value.count * value.textureFactor;
    const grain = value.textureFactor > 1 ? ` × ${value.textureFactor.toFixed(2)}` : "";
    return panel(
      {
        label: `${value.count} × ${text(value.area)}${grain} = ${text(surface)}`,
        subLabel: `as it looks: ${LabText(Lab)}`,
      },
      XYZ,
      { weights, gamut: "srgb" },
    );
  }

  static override styles = viewStyles;
}
