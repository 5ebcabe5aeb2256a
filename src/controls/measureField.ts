import { html, type TemplateResult } from "lit";
import type { NumberSpec, ParameterSpec, ParameterSpecs } from "../graph/parameters.ts";
import { parameterField } from "./parameterField.ts";

/** The unit a number is shown and typed in, other than the one it is kept in. */
interface OtherUnit {
  readonly unit: string;
  /** shown value of 1 of the kept unit */
  readonly factor: number;
  readonly digits: number;
}

/** A number field in another unit than its specification's; without one it is the plain field. */
export function measureField(
  host: Parameters<typeof parameterField>[0],
  specs: ParameterSpecs,
  name: string,
  other?: OtherUnit,
): TemplateResult {
  const spec: ParameterSpec = specs[name];
  if (!other || spec.type !== "number") return parameterField(host, specs, name);
  const { unit, factor, digits } = other;
  const value = (host.parameters as Record<string, number>)[name];
  return html`<bole-number piece=${`set-${name}`}
    .label=${spec.label} .unit=${unit} .hint=${spec.help ?? ""}
    .value=${value * factor} .min=${spec.min * factor} .max=${spec.max * factor}
    .step=${stepIn(spec, other)} .digits=${digits}
    @change=${(event: CustomEvent<{ value: number }>) =>
      host.change({ [name]: kept(event.detail.value / factor, spec) }, false)}
  ></bole-number>`;
}

/** A number in a unit of the job; without one, the plain field. @param own how much of the project's unit 1 of the kept one is */
export function unitField(
  host: Parameters<typeof parameterField>[0],
  specs: ParameterSpecs,
  name: string,
  shown: { readonly unit: string; readonly per: number; readonly digits: number } | undefined,
  own = 1,
): TemplateResult {
  return measureField(
    host,
    specs,
    name,
    shown && { unit: shown.unit, factor: own / shown.per, digits: Math.max(2, shown.digits) },
  );
}

/** Back inside the limits where only the conversion's rounding error has left them. */
function kept(value: number, { min, max }: NumberSpec): number {
  const slack = 1e-9 * Math.max(Math.abs(min), Math.abs(max));
  if (value < min && value > min - slack) return min;
  if (value > max && value < max + slack) return max;
  return value;
}

/** A round step of about the same size as the kept unit's. */
function stepIn({ step }: NumberSpec, { factor, digits }: OtherUnit): number {
  const near = 10 ** Math.round(Math.log10(step * factor));
  return Math.max(near, 10 ** -digits);
}
