import { html, nothing } from "lit";
import { customElement } from "lit/decorators.js";
import { CellView } from "../../src/controls/cellView.ts";
import { differenceText } from "../../src/controls/numbers.ts";
import { panel } from "../../src/controls/panelColour.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { FromLightToLight, lightToLight } from "./define.ts";

const tag = "bole-view-light-to-light";
export default tag;

@customElement(tag)
export class LightToLightView extends CellView<
  FromLightToLight,
  ParameterValues<typeof lightToLight.parameters>
> {
  protected override render() {
    const { value } = this;
    if (!value) return nothing;
    const { coverage, lights } = value;
    const { viewing, parts } = coverage;
    return html`
      <div class="beside">
      <div class="panels">
        ${lights.map((light) =>
          panel(
            {
              label: light.label,
              subLabel: `${viewing.formula} ${differenceText(light.difference)}${light.index === undefined ? "" : `, index ${differenceText(light.index)}`}`,
              sampleLabel: "painted",
            },
            light.sample.XYZ,
            { weights: light.weights, gamut: viewing.gamut },
            light.target.XYZ,
          ),
        )}
      </div>
      <div>
      ${this.verdictLine()}
      <p class="soft">Each pair is shown as an eye sees it that is used to that light.</p>
        <bole-choice
          label="Part"
          .options=${parts.map((other, at) => ({ value: String(at + 1), label: other.substrate.name }))}
          .value=${String(this.parameters.part)}
          @change=${(event: CustomEvent<{ value: string }>) => this.set({ part: Number(event.detail.value) })}
        ></bole-choice>
      </div>
      </div>
    `;
  }

  static override styles = viewStyles;
}
