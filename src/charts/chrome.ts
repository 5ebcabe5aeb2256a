/**
 * Neutral ink of the charts. The custom properties come from the element that holds the chart; each has a
 * light fall-back, so that a chart drawn elsewhere still reads. No tinted chrome: the colours that matter are the curves.
 */
export const ink = "var(--bole-ink, #161616)";
export const inkSoft = "var(--bole-ink-soft, #4a4a4a)";
export const hairline = "var(--bole-hairline, #d4d4d4)";
export const paper = "var(--bole-paper, #fafafa)";
export const bandFill = "var(--bole-press, #e4e4e4)";
/** Edge drawn under each curve, so that a white curve shows on light paper and a black one on dark paper. */
export const curveEdge = "var(--bole-curve-edge, #5c5c5c)";
/** Mid-grey around colour samples, the same in both themes. */
export const surround = "var(--bole-surround, #777777)";

/** Text size of every chart, px. */
export const textSize = 15;
/** Distance between two lines of labels, px. */
export const rowHeight = 21;
