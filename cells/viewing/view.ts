import { html } from "lit";
import { customElement } from "lit/decorators.js";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { Viewing } from "../../src/ports/viewing.ts";
import { viewing } from "./define.ts";

const tag = "bole-view-viewing";
export default tag;

@customElement(tag)
export class ViewingView extends CellView<Viewing, ParameterValues<typeof viewing.parameters>> {
  protected override render() {
    const field = (name: keyof typeof viewing.parameters, as?: "slider") =>
      parameterField(this, viewing.parameters, name, as);
    const { otherLights } = this.parameters;
    const lights = viewing.parameters.illuminant.options;
    return html`
      ${this.verdictLine(false)}
      <div class="fields">
        ${field("illuminant")} ${field("tolerance")}
        <div class="wide">${field("sheen", "slider")}</div>
      </div>
      <details>
        <summary>Other lights, observer, surface</summary>
        <div class="fields">
          ${otherLights.map(
            (light, index) => html`
              <bole-choice
                .label=${`Other light ${index + 1}`}
                .options=${[...lights, { value: "", label: "none: take it away" }]}
                .value=${light.illuminant}
                @change=${(event: CustomEvent<{ value: string }>) => this.#setLight(index, { illuminant: event.detail.value })}
              ></bole-choice>
              <bole-number
                .label=${`Weight of other light ${index + 1}`}
                .value=${light.weight} .min=${0} .max=${10} .step=${0.1}
                @change=${(event: CustomEvent<{ value: number }>) => this.#setLight(index, { weight: event.detail.value })}
              ></bole-number>
            `,
          )}
          ${
            otherLights.length < 6
              ? html`<button @click=${() => this.set({ otherLights: [...otherLights, { illuminant: "LED-B3", weight: 0.3 }] })}>
                  Add a light
                </button>`
              : ""
          }
        </div>
        <div class="fields">
          ${field("observer")} ${field("formula")} ${field("externalReflection")} ${field("internalReflection")} ${field("gamut")}
        </div>
      </details>
    `;
  }

  #setLight(index: number, patch: Partial<{ illuminant: string; weight: number }>): void {
    const otherLights = this.parameters.otherLights
      .map((light, at) => (at === index ? { ...light, ...patch } : light))
      .filter((light) => light.illuminant !== "");
    this.set({ otherLights });
  }

  static override styles = viewStyles;
}
