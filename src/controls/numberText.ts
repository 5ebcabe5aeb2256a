/** What a number box accepts. Limits may be infinite. */
export interface NumberRange {
  label: string;
  unit: string;
  min: number;
  max: number;
  /** size of one step */
  step: number;
  /** decimals shown; 0 means that whole numbers are asked for; undefined follows the step */
  digits?: number;
}

type NumberReading = { value: number } | { trouble: string };

/** Decimals that a step needs to be written, at most 6. */
function decimalsOf(step: number): number {
  for (let decimals = 0; decimals < 6; decimals++) {
    if (Math.abs(step - Number(step.toFixed(decimals))) < 1e-9) return decimals;
  }
  return 6;
}

/** A value as it stands in a number box. */
export function numberText(value: number, range: Pick<NumberRange, "step" | "digits">): string {
  if (!Number.isFinite(value)) return "";
  return value.toFixed(range.digits ?? decimalsOf(range.step)).replace(/^-(0(\.0*)?)$/, "$1");
}

/** "15 µm", "20 %", or the number alone when there is no unit. */
export function withUnit(value: number, range: Pick<NumberRange, "step" | "digits" | "unit">): string {
  return `${numberText(value, range)} ${range.unit}`.trim();
}

/** The allowed range in words: "from 5 to 60 µm", "of at least 0 g", or nothing when there is no limit. */
export function rangeWords(range: NumberRange): string {
  const { min, max } = range;
  if (Number.isFinite(min) && Number.isFinite(max))
    return `from ${limitText(min)} to ${withLimit(max, range)}`;
  if (Number.isFinite(min)) return `of at least ${withLimit(min, range)}`;
  if (Number.isFinite(max)) return `of at most ${withLimit(max, range)}`;
  return "";
}

/** A limit is written in full, never rounded to the digits of the box, or the words could contradict the check. */
function limitText(limit: number): string {
  return `${Number(limit.toPrecision(12))}`;
}

function withLimit(limit: number, range: NumberRange): string {
  return `${limitText(limit)} ${range.unit}`.trim();
}

/**
 * Reads what was typed. A decimal comma, a true minus sign and the unit behind the number are understood; a comma that
 * could as well part thousands is not guessed at.
 *
 * @returns the value, or words that name the field, the text, what is allowed
 */
export function readNumber(text: string, range: NumberRange): NumberReading {
  const { label, unit, min, max } = range;
  const allowed = `${range.digits === 0 ? "a whole number" : "a number"} ${rangeWords(range)}`.trim();
  let bare = text.trim().replace(/\u2212/g, "-");
  if (unit !== "" && bare.toLowerCase().endsWith(unit.toLowerCase()))
    bare = bare.slice(0, -unit.length).trim();
  if (bare === "") return { trouble: `${label} is empty. Type ${allowed}.` };
  if (/^[+-]?[1-9]\d{0,2}(,\d{3})+$/.test(bare)) {
    return {
      trouble: `${label}: “${text.trim()}” can be read in two ways. Type it without the comma, ${allowed}.`,
    };
  }
  const plain = bare.replace(/^([+-]?\d*),(\d+)$/, "$1.$2");
  if (!/^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(plain)) {
    return { trouble: `${label}: “${text.trim()}” is not a number. Type ${allowed}.` };
  }
  const value = Number(plain);
  if (!Number.isFinite(value) || value < min || value > max) {
    return {
      trouble: `${label}: ${bare} ${unit} is outside what is allowed. Type ${allowed}.`.replace("  ", " "),
    };
  }
  if (range.digits === 0 && !Number.isInteger(value)) {
    return { trouble: `${label}: ${bare} is not a whole number. Type ${allowed}.` };
  }
  return { value };
}

/** One step up or down, kept on the decimals of the step and inside the limits. */
export function stepped(value: number, steps: number, range: NumberRange): number {
  const start = Number.isFinite(value) ? value : Number.isFinite(range.min) ? range.min : 0;
  const decimals = Math.max(decimalsOf(range.step), decimalsOf(start));
  const moved = Number((start + steps * range.step).toFixed(decimals));
  return Math.min(range.max, Math.max(range.min, moved));
}
