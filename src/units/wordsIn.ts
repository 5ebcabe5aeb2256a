import { litrePerUsGallon, measureText, quantityOf, shownUnit, type UnitSystem } from "./units.ts";

type Known = NonNullable<ReturnType<typeof quantityOf>>;
const perGallon = { unit: "gal", per: litrePerUsGallon };
const unit = "(mL/m²|m²/L|m²/min|min/m²|m²|m/s|mL|L|µm|cm)(?![\\p{L}\\d²/*])";
const number = "(?<![\\p{L}\\d.,])(\\d+(?:\\.\\d+)?)";
const ratio = new RegExp(`${number} mL per 100 mL(?!\\p{L})`, "gu");
const range = new RegExp(`${number}( to | and |–)${number}([ \u00a0])${unit}`, "gu");
const single = new RegExp(`${number}([ \u00a0])${unit}`, "gu");
const price = new RegExp(`${number} per (m²|mL|L)(?![\\p{L}\\d²/])`, "gu");

/**
 * Finished words with the measures in them told in the units the job is read in: "0.35 mL", "6 to 12 µm", "1.20 per m²".
 * Masses stay in grams: so the balance shows them. What the words say of a share ("2 mL per 100 mL") keeps its number.
 */
export function wordsIn(text: string, system: UnitSystem): string {
  if (system === "metric") return text;
  const { unit: small } = shownUnit("volume", system);
  return text
    .replace(ratio, `$1 ${small} per 100 ${small}`)
    .replace(
      range,
      (_, low: string, between: string, high: string, gap: string, name: string) =>
        `${bare(told(low, gap, name, system))}${between}${told(high, gap, name, system)}`,
    )
    .replace(single, (_, value: string, gap: string, name: string) => told(value, gap, name, system))
    .replace(price, (_, value: string, name: string) => {
      const { unit: shown, per } =
        name === "L" ? perGallon : shownUnit((quantityOf(name) as Known).quantity, system);
      return `${asFine(value, Number(value) * per, 0)} per ${shown}`;
    });
}

/** A number with its unit, about as fine as it was written: a unit thirty times larger takes a decimal more. */
function told(value: string, gap: string, name: string, system: UnitSystem): string {
  const { quantity, own } = quantityOf(name) as Known;
  const { unit: shown, per } = shownUnit(quantity, system);
  if (name === "L") return measureText(Number(value) * own, quantity, system).replace(" ", gap);
  return `${asFine(value, (Number(value) * own) / per, Math.round(Math.log10(per / own)))}${gap}${shown}`;
}

function asFine(written: string, value: number, more: number): string {
  const decimals = (written.split(".")[1]?.length ?? 0) + more;
  const twoFigures = value > 0 ? 1 - Math.floor(Math.log10(value)) : 0;
  return value.toFixed(Math.max(0, decimals, value < 1 ? twoFigures : 0));
}

const bare = (measure: string) => measure.split(/[ \u00a0]/)[0];
