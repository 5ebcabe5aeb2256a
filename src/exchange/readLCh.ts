import type { ReadingAnswers } from "../tables/doubt.ts";
import { hueUnit, LabOfLCh } from "./hue.ts";

const number = String.raw`[-+−]?(?:\d+(?:[.,]\d+)?|[.,]\d+)`;
const between = String.raw`[\s,;]+`;
const keyed = new RegExp(
  `(?:cie\\s*)?l\\*?\\s*[:=]?\\s*(${number})${between}c\\*?(?:ab)?\\s*[:=]?\\s*(${number})${between}h(?:ab)?°?\\s*[:=]?\\s*(${number})\\s*(°|rad)?`,
  "i",
);
const headed = new RegExp(
  `(?:cie\\s*)?l\\*?c\\*?h°?\\s*[:=]?\\s*(${number})(?:\\s+|;\\s*|,\\s+)(${number})(?:\\s+|;\\s*|,\\s+)(${number})\\s*(°|rad)?`,
  "i",
);

/** Long lines hold no colour that a person typed. */
const longest = 400;

/**
 * Typed or pasted text with every colour that is stated as L*, C* and h turned into L*, a* and b*; the rest as it was.
 * Only what says so is taken for LCh: "L 38.5 C 56.3 h 28.9" or "LCh 38.5 56.3 28.9". Three numbers alone are Lab.
 *
 * @throws DoubtfulFileError for hues that look like radians, SpectrumFileError for a chroma or hue that is none
 */
export function LChAsLab(text: string, file: string, answers: ReadingAnswers = {}): string {
  const lines = text.split(/\r\n?|\n/).map((line) => {
    const short = line.length > longest ? "" : line.replace(/\s+/g, " ");
    const found = keyed.exec(short) ?? headed.exec(short);
    if (!found) return { line };
    const LCh = found.slice(1, 4).map((word) => Number(word.replace("−", "-").replace(",", ".")));
    const before = short.slice(0, found.index);
    return { line, before, after: short.slice(found.index + found[0].length), LCh, sign: found[4] };
  });
  const unsigned = lines.flatMap(({ LCh, sign }) =>
    LCh && sign === undefined ? [{ C: LCh[1], h: LCh[2] }] : [],
  );
  const unit = hueUnit(unsigned, file, answers);
  return lines
    .map(({ line, before, after, LCh, sign }) => {
      if (!LCh) return line;
      const stated = sign === undefined ? unit : sign === "°" ? "degrees" : "radians";
      const [L, a, b] = LabOfLCh(LCh, stated, file);
      return `${before}L* ${L}; a* ${a.toFixed(4)}; b* ${b.toFixed(4)}${after}`;
    })
    .join("\n");
}
