import { html } from "lit";
import { customElement } from "lit/decorators.js";
import { CellView } from "../../src/controls/cellView.ts";
import { parameterField } from "../../src/controls/parameterField.ts";
import { viewStyles } from "../../src/controls/viewStyles.ts";
import type { ParameterValues } from "../../src/graph/parameters.ts";
import type { ColourCoats } from "../../src/ports/coatPlan.ts";
import { coatPlan } from "./define.ts";

const tag = "bole-view-coat-plan";
export default tag;

@customElement(tag)
export class CoatPlanView extends CellView<ColourCoats, ParameterValues<typeof coatPlan.parameters>> {
  protected override render() {
    const names = Object.keys(coatPlan.parameters) as (keyof typeof coatPlan.parameters)[];
    return html`
      <div class="fields">${names.map((name) => parameterField(this, coatPlan.parameters, name))}</div>
      ${this.verdictLine(false)}
    `;
  }

  static override styles = viewStyles;
}
