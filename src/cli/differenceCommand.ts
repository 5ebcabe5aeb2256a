import {
  type DifferenceFormula,
  differenceFormulas,
  differenceOf,
  LChDifferenceOf,
} from "../colour/difference.ts";
import { tradeWords } from "../colour/tradeWords.ts";
import { readOptions } from "./options.ts";
import { type Command, exitCode, InputError, printJson } from "./surroundings.ts";

/** Formula names that every keyboard has. */
const plainNames: Record<string, DifferenceFormula> = {
  "2000": "ΔE00",
  ab: "ΔE*ab",
  "94": "ΔE94",
  "cmc2:1": "CMC(2:1)",
  "cmc1:1": "CMC(1:1)",
};

const help = `Difference of two CIELAB colours.

  npm run -s bole -- difference L,a,b L,a,b [--formula NAME]

  L,a,b            the reference first, then the sample: 40,45.5,24 41,44,23. Both under one light and observer
  --formula NAME   ${Object.entries(plainNames)
    .map(([plain, name]) => `${plain} (${name})`)
    .join(", ")}; every one of them when left out

Prints JSON: the differences, lightness, chroma and hue apart, and the difference in words.
Exit code 0, or 2 when a colour or an option cannot be used.`;

/** bole difference: difference of two CIELAB colours. */
export const differenceCommand: Command = {
  name: "difference",
  summary: "difference of two CIELAB colours",
  help,
  async run(argv, surroundings) {
    const { values, positionals } = readOptions(argv, { formula: { type: "string" } });
    if (positionals.length !== 2) {
      throw new InputError(
        `Give two colours as L,a,b and L,a,b, the reference first; ${positionals.length} were given.`,
      );
    }
    const reference = readLab("The reference", positionals[0]);
    const sample = readLab("The sample", positionals[1]);
    const formulas = values.formula === undefined ? differenceFormulas : [readFormula(values.formula)];
    printJson(surroundings, {
      reference,
      sample,
      differences: Object.fromEntries(formulas.map((name) => [name, differenceOf(name)(reference, sample)])),
      parts: LChDifferenceOf(reference, sample),
      words: tradeWords(reference, sample).text,
    });
    return exitCode.ok;
  },
};

function readFormula(text: string): DifferenceFormula {
  const plain = text.toLowerCase();
  if (Object.hasOwn(plainNames, plain)) return plainNames[plain];
  if ((differenceFormulas as readonly string[]).includes(text)) return text as DifferenceFormula;
  throw new InputError(
    `--formula is "${text}", but has to be one of: ${Object.keys(plainNames).join(", ")}.`,
  );
}

function readLab(what: string, text: string): number[] {
  const fields = text.split(",");
  if (fields.length !== 3) throw new InputError(`${what} is "${text}", but has to be three numbers: L,a,b.`);
  return fields.map((field, i) => {
    const name = ["L*", "a*", "b*"][i];
    const [least, most] = i === 0 ? [0, 100] : [-400, 400];
    const value = field.trim() === "" ? Number.NaN : Number(field);
    if (!(value >= least && value <= most)) {
      throw new InputError(`${what}, field ${name}: "${field}" has to be a number from ${least} to ${most}.`);
    }
    return value;
  });
}
