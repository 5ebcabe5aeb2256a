import { hueWords, nearNeutral } from "../colour/tradeWords.ts";

/** The five sizes of a difference, in the words that are asked for. */
export const sizeWords = ["cannot tell", "hardly", "slightly", "clearly", "much"] as const;

/**
 * A judged step on one axis: 0 cannot tell, then hardly, slightly, clearly, much (1…4), with its sign: above 0 the panel is
 * lighter, stronger, or further round the hue circle than the reference. `null`: cannot judge.
 */
export type Step = -4 | -3 | -2 | -1 | 0 | 1 | 2 | 3 | 4 | null;

/** A panel against the reference: lightness, chroma, hue (near neutrals: lightness, red–green, yellow–blue). */
export type Judgement = readonly [Step, Step, Step];

/** Steps from −4 to 4. */
export const stepCount = 9;

/**
 * Where one size ends and the next begins, in the eye's own differences (ΔL′/S_L, ΔC′/S_C, ΔH′/S_H of CIEDE2000).
 * Source: from memory; compare the pairs of the grey scale of ISO 105-A02: 0.8, 1.7, 3.4, 6.8, 13.6.
 */
export const sizeEnds = [0.5, 1.2, 2.5, 5] as const;

/** The two words of one axis: what the panel is when the difference lies above 0, and below. */
export interface AxisWords {
  readonly name: string;
  readonly above: string;
  readonly below: string;
}

/** Whether a panel has so little chroma that red–green and yellow–blue are asked instead of chroma and hue. */
export const isNeutral = (Lab: ArrayLike<number>): boolean => Math.hypot(Lab[1], Lab[2]) < nearNeutral;

/** The words to judge a panel by, which follow its hue: a red is yellower or bluer. */
export function axisWords(panel: ArrayLike<number>): readonly [AxisWords, AxisWords, AxisWords] {
  const lightness = { name: "Lightness", above: "lighter", below: "darker" };
  if (isNeutral(panel)) {
    return [
      lightness,
      { name: "Red or green", above: "redder", below: "greener" },
      { name: "Yellow or blue", above: "yellower", below: "bluer" },
    ];
  }
  const hue = hueWords(panel);
  return [
    lightness,
    { name: "Strength", above: "stronger", below: "duller" },
    { name: "Hue", above: hue.rising, below: hue.falling },
  ];
}

/** A step in words: "clearly lighter", "cannot tell", "cannot judge". */
export function stepText(step: Step, words: AxisWords): string {
  if (step === null) return "cannot judge";
  if (step === 0) return sizeWords[0];
  return `${sizeWords[Math.abs(step)]} ${step > 0 ? words.above : words.below}`;
}

/** The step that a perceived difference falls into. */
export function stepOf(perceived: number): Exclude<Step, null> {
  const size = Math.abs(perceived);
  let step = 0;
  for (; step < sizeEnds.length && size >= sizeEnds[step]; step++);
  return (perceived < 0 ? -step || 0 : step) as Exclude<Step, null>;
}
