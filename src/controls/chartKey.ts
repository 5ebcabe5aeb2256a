import { html, nothing, svg } from "lit";
import type { KeyEntry } from "../charts/chartTypes.ts";
import { curveEdge, ink, paper } from "../charts/chrome.ts";
import { patternFill } from "../charts/patterns.ts";

const width = 36;
const height = 18;
const middle = height / 2;

/** The key of a chart: words of the page, so that they wrap and are never cut, each with a sample of what it names. */
export function chartKey(entries: readonly KeyEntry[]) {
  return entries.map(
    (entry) => html`<li class=${entry.bold ? "bold" : ""}><svg
        width=${width}
        height=${height}
        fill="none"
      >${sample(entry)}</svg><span>${entry.label}</span></li>`,
  );
}

function sample({ stroke, fill, pattern = "none", sign }: KeyEntry) {
  if (stroke) {
    const line = (colour: string, width: number) =>
      svg`<path d="M0,${middle}H36" stroke=${colour} stroke-width=${width} stroke-dasharray=${stroke.dash || "none"} />`;
    const edge = stroke.colour === ink ? nothing : line(curveEdge, stroke.width + 1.6);
    return [edge, line(stroke.colour, stroke.width)];
  }
  if (fill) {
    const block = (fill: string) =>
      svg`<rect x="1" y="1" width=${width - 2} height=${height - 2} fill=${fill} stroke=${curveEdge} />`;
    return [block(fill), block(patternFill(pattern))];
  }
  const centre = width / 2;
  return sign === "cross"
    ? svg`<path d="M${centre - 6},${middle - 6}l12,12m0,-12l-12,12" stroke=${ink} stroke-width="3" />`
    : svg`<circle cx=${centre} cy=${middle} r="7" fill=${sign === "full" ? ink : paper} stroke=${ink} stroke-width="2" />`;
}
