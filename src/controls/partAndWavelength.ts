import { html } from "lit";
import type { ParameterSpecs } from "../graph/parameters.ts";
import { type FieldHost, parameterField } from "./parameterField.ts";

/** The controls of a picture that shows one part at one wavelength: parameters `part`, counted from 1, and `wavelength`. */
export function partAndWavelength(
  host: FieldHost & { readonly parameters: { readonly part: number } },
  specs: ParameterSpecs,
  parts: readonly string[],
) {
  return html`<div class="fields">
    <bole-choice
      label="Part"
      .options=${parts.map((label, at) => ({ value: String(at + 1), label }))}
      .value=${String(host.parameters.part)}
      @change=${(event: CustomEvent<{ value: string }>) => host.change({ part: Number(event.detail.value) }, false)}
    ></bole-choice>
    <div class="rest">${parameterField(host, specs, "wavelength", "slider")}</div>
  </div>`;
}
