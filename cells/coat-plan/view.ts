import { html } from "lit";
import { customElement } from "lit/decorators.js";
import { otherUnit } from "../../src/coating/units.ts";
import { CellView } from "../../src/controls/cellView.ts";
import { unitField } from "../../src/controls/measureField.ts";
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
      <div class="fields">${names.map((name) => unitField(this, coatPlan.parameters, name, otherUnit(name.endsWith("Wet") ? "thickness" : undefined, this.units)))}</div>
      ${this.verdictLine(false)}
    `;
  }

  static override styles = viewStyles;
}
