import { tradeWords } from "../colour/tradeWords.ts";

/** What is wrong with a colour, in words: "too dark and too blue". */
export function faults(target: ArrayLike<number>, Lab: ArrayLike<number>): string {
  const { lightness, chroma, hue } = tradeWords(
    target,
    Array.from({ length: 3 }, (_, i) => Lab[i]),
  );
  const tooWords: [string, string][] = [
    ["darker", "too dark"],
    ["lighter", "too light"],
    ["duller", "too dull"],
    ["stronger", "too strong"],
    ["yellower", "too yellow"],
    ["bluer", "too blue"],
    ["redder", "too red"],
    ["greener", "too green"],
  ];
  const found = [lightness, chroma, hue].flatMap((word) =>
    tooWords.filter(([ends]) => word.endsWith(ends)).map(([, too]) => too),
  );
  if (found.length === 0) return "off target";
  return found.length === 1 ? found[0] : `${found.slice(0, -1).join(", ")} and ${found[found.length - 1]}`;
}
