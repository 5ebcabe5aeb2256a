/**
 * What a cell comes to, in words that stand for themselves: the open cell, its folded line, the list of cells and a run
 * without a page tell the same.
 */
export interface Verdict {
  /** One to three short sentences, the key figure in the first. */
  readonly text: string;
  /** The key figure as it stands in the text, such as "ΔE00 0.42". */
  readonly figure?: string;
  /** A colour that belongs to it, for style sheets. */
  readonly swatch?: string;
}

/** The first sentence, for a line that has no room for more. */
export function inShort({ text }: Verdict): string {
  const [first] = text.split(/(?<=[.!?…]) (?=[A-Z“])/u);
  return first;
}
