import { html, type TemplateResult } from "lit";
import type { NumberSpec } from "../graph/parameters.ts";
import { otherUnit, quantityOf, type UnitSystem } from "../units/units.ts";
import { wordsIn } from "../units/wordsIn.ts";

/** The unit a number is shown and typed in, other than the one it is kept in. */
interface OtherUnit {
  readonly unit: string;
  /** shown value of 1 of the kept unit */
  readonly factor: number;
  readonly digits: number;
}

/** What a number's own unit is told in; undefined where that is the unit it is kept in. */
export function toldIn({ unit = "" }: NumberSpec, units: UnitSystem): OtherUnit | undefined {
  if (units === "metric") return undefined;
  const [name, ...after] = unit.split(" ");
  const known = quantityOf(name);
  const shown = otherUnit(known?.quantity, units);
  if (!known || !shown) return undefined;
  // A share of the mix, such as mL per 100 mL, keeps its number.
  if (after.length > 1) return { unit: wordsIn(`1 ${unit}`, units).slice(2), factor: 1, digits: 3 };
  return {
    unit: [shown.unit, ...after].join(" "),
    factor: known.own / shown.per,
    digits: Math.max(2, shown.digits),
  };
}

/** The control of a number, in another unit than the one it is kept in where one is given. */
export function numberField(
  spec: NumberSpec,
  name: string,
  kept: number,
  other: OtherUnit | undefined,
  change: (value: number, live: boolean) => void,
  { as = "box", hint = spec.help ?? "" }: { as?: "slider" | "box"; hint?: string } = {},
): TemplateResult {
  const { unit = spec.unit ?? "", factor = 1, digits = spec.whole ? 0 : spec.digits } = other ?? {};
  const [value, min, max] = [kept * factor, spec.min * factor, spec.max * factor];
  const step = other && factor !== 1 ? stepIn(spec, other) : spec.step;
  const told = (live: boolean) => (event: CustomEvent<{ value: number }>) =>
    change(within(event.detail.value / factor, spec), live);
  return as === "slider"
    ? html`<bole-slider piece=${`set-${name}`}
        .label=${spec.label} .unit=${unit} .hint=${hint}
        .value=${value} .min=${min} .max=${max} .step=${step} .digits=${digits}
        @input=${told(true)} @change=${told(false)}
      ></bole-slider>`
    : html`<bole-number piece=${`set-${name}`}
        .label=${spec.label} .unit=${unit} .hint=${hint}
        .value=${value} .min=${min} .max=${max} .step=${step} .digits=${digits}
        @change=${told(false)}
      ></bole-number>`;
}

/** Back inside the limits where only the conversion's rounding error has left them. */
function within(value: number, { min, max }: NumberSpec): number {
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
