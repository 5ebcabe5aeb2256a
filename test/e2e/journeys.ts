/**
 * The journeys that every run goes, by their titles: what most people do most days, at the desk and on a phone. Where one
 * title stands in several groups, the group stands before it.
 */
export const journeys: readonly (string | readonly [group: string, title: string])[] = [
  [
    "cause and effect on one screen of 1440 × 900",
    "with the ratio in hand, panels, difference and curves are in sight; bars are small",
  ],
  "a cell folds to its verdict, stays so after a reload, and a press that leads to it unfolds it",
  [
    "lesson-1-why-red-disappears keeps its secret",
    "an answer is nowhere on the page until its question is answered, and there afterwards",
  ],
  "import drawdowns, read the verdict, add the component, see the recipe change, renew it",
  "by labels alone, with a sensor that gives Lab only",
  "at the bare address: the ways to begin, the lessons, and the recent notebooks",
  "filled by its labels; litres, time and price follow, and the sheet prints on one page of either paper",
  "the ratio chart and its slider: a swipe scrolls; a tap and a sideways drag set the ratio",
  "the demo lives: its slider is answered in panels and figures, and nothing is asked of anyone",
  "script in notes, titles and names does not run, reaches nobody, and covers nothing",
  "less than 200 kB of script, compressed, has come when the first cell shows; the chart library comes later",
  "dragging the ratio at 820 px: answered within 50 ms, and nothing jumps",
];

/** Whether every run goes a journey. */
export function isEveryday(group: string | undefined, title: string): boolean {
  return journeys.some((one) =>
    typeof one === "string" ? one === title : one[0] === group && one[1] === title,
  );
}
