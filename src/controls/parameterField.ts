import { html, type TemplateResult } from "lit";
import type { ParameterSpec, ParameterSpecs } from "../graph/parameters.ts";

/** The part of a view that a field needs. */
export interface FieldHost {
  readonly parameters: object;
  change(patch: Record<string, unknown>, live: boolean): void;
}

/**
 * The control that fits a parameter's specification. Sliders suit numbers that are explored, boxes those that are known.
 * @param as how a number is shown
 */
export function parameterField(
  host: FieldHost,
  specs: ParameterSpecs,
  name: string,
  as: "slider" | "box" = "box",
): TemplateResult {
  const spec: ParameterSpec = specs[name];
  const value = (host.parameters as Record<string, unknown>)[name];
  const done = (event: CustomEvent<{ value: unknown }>) => host.change({ [name]: event.detail.value }, false);
  const hint = spec.help ?? "";
  switch (spec.type) {
    case "number":
      return as === "slider"
        ? html`<bole-slider piece=${`set-${name}`}
            .label=${spec.label} .unit=${spec.unit ?? ""} .hint=${hint}
            .value=${value as number} .min=${spec.min} .max=${spec.max} .step=${spec.step} .digits=${digitsOf(spec)}
            @input=${(event: CustomEvent<{ value: number }>) => host.change({ [name]: event.detail.value }, true)}
            @change=${done}
          ></bole-slider>`
        : html`<bole-number piece=${`set-${name}`}
            .label=${spec.label} .unit=${spec.unit ?? ""} .hint=${hint}
            .value=${value as number} .min=${spec.min} .max=${spec.max} .step=${spec.step} .digits=${digitsOf(spec)}
            @change=${done}
          ></bole-number>`;
    case "choice":
      return html`<bole-choice piece=${`set-${name}`} .label=${spec.label} .hint=${hint} .options=${spec.options} .value=${value as string} @change=${done}></bole-choice>`;
    case "toggle":
      return html`<bole-toggle piece=${`set-${name}`} .label=${spec.label} .hint=${hint} .value=${value as boolean} @change=${done}></bole-toggle>`;
    case "text":
      return html`<bole-text piece=${`set-${name}`}
        .label=${spec.label} .hint=${hint} .value=${value as string} .maxLength=${spec.maxLength}
        ?multiline=${spec.long ?? false} @change=${done}
        @input=${(event: CustomEvent<{ value: string }>) => spec.long && host.change({ [name]: event.detail.value }, true)}
      ></bole-text>`;
    case "value":
      throw new TypeError(`${spec.label} has structure and needs a control of its own`);
  }
}

function digitsOf(spec: { whole?: boolean; digits?: number }): number | undefined {
  return spec.whole ? 0 : spec.digits;
}
