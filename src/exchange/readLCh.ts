const number = String.raw`[-+−]?(?:\d+(?:[.,]\d+)?|[.,]\d+)`;
const between = String.raw`[\s,;]+`;
const keyed = new RegExp(
  `(?:cie\\s*)?l\\*?\\s*[:=]?\\s*(${number})${between}c\\*?(?:ab)?\\s*[:=]?\\s*(${number})${between}h(?:ab)?°?\\s*[:=]?\\s*(${number})\\s*°?`,
  "i",
);
const headed = new RegExp(
  `(?:cie\\s*)?l\\*?c\\*?h°?\\s*[:=]?\\s*(${number})(?:\\s+|;\\s*|,\\s+)(${number})(?:\\s+|;\\s*|,\\s+)(${number})\\s*°?`,
  "i",
);

/**
 * Typed or pasted text with every colour that is stated as L*, C* and h turned into L*, a* and b*; the rest as it was.
 * Only what says so is taken for LCh: "L 38.5 C 56.3 h 28.9" or "LCh 38.5 56.3 28.9". Three numbers alone are Lab.
 *
 * a* = C* cos h, b* = C* sin h. Source: CIE 15, definitions of chroma and hue angle in CIELAB.
 */
export function LChAsLab(text: string): string {
  return text
    .split(/\r\n?|\n/)
    .map((line) => {
      // Long lines hold no colour that a person typed.
      if (line.length > 400) return line;
      const short = line.replace(/\s+/g, " ");
      const found = keyed.exec(short) ?? headed.exec(short);
      if (!found) return line;
      const [L, C, h] = found.slice(1, 4).map((word) => Number(word.replace("−", "-").replace(",", ".")));
      const angle = (h * Math.PI) / 180;
      const Lab = `L* ${L}; a* ${(C * Math.cos(angle)).toFixed(4)}; b* ${(C * Math.sin(angle)).toFixed(4)}`;
      return short.slice(0, found.index) + Lab + short.slice(found.index + found[0].length);
    })
    .join("\n");
}
