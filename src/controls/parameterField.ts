import { html, type TemplateResult } from "lit";
import type { ParameterSpec, ParameterSpecs } from "../graph/parameters.ts";
import type { UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";
import { numberField, toldIn } from "./numberField.ts";

/** The part of a view that a field needs. */
export interface FieldHost {
  readonly parameters: object;
  /** Units the job is read and typed in; numbers are kept in the project's own. */
  readonly units?: UnitSystem;
  change(patch: Record<string, unknown>, live: boolean): void;
}

/**
 * The control that fits a parameter's specification. Sliders suit numbers that are explored, boxes those that are known.
 * @param as how a number is shown
 * @param units to read and type in, where a cell has its own
 */
export function parameterField(
  host: FieldHost,
  specs: ParameterSpecs,
  name: string,
  as: "slider" | "box" = "box",
  units: UnitSystem = host.units ?? "metric",
): TemplateResult {
  const spec: ParameterSpec = specs[name];
  const value = (host.parameters as Record<string, unknown>)[name];
  const done = (event: CustomEvent<{ value: unknown }>) => host.change({ [name]: event.detail.value }, false);
  const hint = wordsIn(spec.help ?? "", units);
  switch (spec.type) {
    case "number":
      return numberField(
        spec,
        name,
        value as number,
        toldIn(spec, units),
        (value, live) => host.change({ [name]: value }, live),
        { as, hint },
      );
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
