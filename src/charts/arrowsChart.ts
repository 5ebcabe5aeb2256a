import type { ChartOptions, ChartSize, Mark, PlotLibrary } from "./chartTypes.ts";
import { hairline, ink, inkSoft, paper, rowHeight } from "./chrome.ts";
import { chartOptions, frameOf, raw } from "./frame.ts";
import { spreadLabels, textWidth } from "./labels.ts";

interface ColourMove {
  label: string;
  /** changes of a*, b* and L* */
  a: number;
  b: number;
  lightness: number;
  /** CSS colour of the arrow */
  colour: string;
}

export interface ArrowsData {
  moves: readonly ColourMove[];
  /** hue angle of the mix, degrees: the direction of more chroma is drawn as a guide */
  hue: number;
}

/** Room for the texts of the ticks, between an arrow and its name, and on either side of the line of lightness, px. */
const tickRoom = 26;
const nameGap = 6;
const lightnessHalf = 30;
/** Below this width, px, the changes of lightness stand under the plot. */
const narrow = 520;

/** Left edge and side of the square that leaves room for every name beside it, and the room on its right, px. */
function roomFor(moves: ArrowsData["moves"], reach: number, size: ChartSize, isNarrow: boolean) {
  let side = size.height - (isNarrow ? 144 : 86);
  let left = tickRoom + 12;
  let right = 8;
  for (let round = 0; round < 6; round++) {
    for (const { a, label } of moves) {
      const end = ((a / reach + 1) / 2) * side;
      const name = textWidth(label) + nameGap + 4;
      if (a < 0) left = Math.max(left, tickRoom + 12 + name - end);
      else right = Math.max(right, end + name - side);
    }
    const most = size.width - left - right - (isNarrow ? 0 : 2 * lightnessHalf);
    if (side <= most) break;
    side = Math.max(60, most);
  }
  return { left, side, right };
}

/**
 * Moves of a colour on the a*b* plane, all from one origin, with their changes of lightness on a line beside or under them.
 * Both axes have one scale. The dotted guide runs along the hue of the mix: outward is stronger, inward duller, one side
 * yellower, the other bluer.
 */
export function arrowsChart(Plot: PlotLibrary, { moves, hue }: ArrowsData, size: ChartSize): ChartOptions {
  const reach = Math.max(1e-6, ...moves.map(({ a, b }) => Math.max(Math.abs(a), Math.abs(b)))) * 1.15;
  const isNarrow = size.width < narrow;
  const { left, side, right } = roomFor(moves, reach, size, isNarrow);
  const frame = frameOf(size, {
    top: 34,
    right: size.width - left - side,
    bottom: size.height - 34 - side,
    left,
  });
  /** Changes for so many px. */
  const changes = (px: number) => (px * 2 * reach) / side;
  const names = namesOf(moves, reach, changes(rowHeight - 3));
  const along = { a: reach * Math.cos((hue * Math.PI) / 180), b: reach * Math.sin((hue * Math.PI) / 180) };
  const tickSpacing = 90;
  const axis = { domain: [-reach, reach] as const, tickSpacing };
  const ticks = { tickSpacing, insetLeft: tickRoom + 8 - left };
  return chartOptions(Plot, frame, {
    x: { ...axis, line: false, label: "change of a*" },
    y: { ...axis, axis: null },
    marks: [
      // Left of the names.
      Plot.gridY({ ...ticks, stroke: hairline, strokeOpacity: 1 }),
      Plot.axisY({ ...ticks, tickSize: 0, label: "change of b*", labelArrow: "none", labelAnchor: "top" }),
      Plot.ruleX([0], { stroke: inkSoft }),
      Plot.ruleY([0], { stroke: inkSoft }),
      Plot.link([along], {
        x1: ({ a }) => -a,
        y1: ({ b }) => -b,
        x2: "a",
        y2: "b",
        stroke: ink,
        strokeDasharray: "2 6",
      }),
      Plot.text(["stronger"], {
        x: [along.a * 0.97],
        y: [along.b * 0.97],
        dx: along.a > 0 ? -32 : 32,
        dy: 10,
      }),
      // A thin line leads from an arrow to a name that had to make room for others.
      Plot.ruleX(names, { x: "a", y1: "b", y2: "place", stroke: inkSoft }),
      Plot.arrow(moves, {
        x1: 0,
        y1: 0,
        x2: "a",
        y2: "b",
        stroke: raw(moves.map(({ colour }) => colour)),
        strokeWidth: 3,
        headLength: 7,
      }),
      ...[true, false].map((toRight) =>
        Plot.text(names, {
          filter: ({ a }) => a >= 0 === toRight,
          x: "a",
          y: "place",
          text: "label",
          textAnchor: toRight ? "start" : "end",
          dx: toRight ? nameGap : -nameGap,
          fill: ink,
          stroke: paper,
          strokeWidth: 5,
        }),
      ),
      ...lightness(
        Plot,
        moves,
        reach,
        changes,
        isNarrow ? undefined : reach + changes(right + lightnessHalf),
      ),
    ],
  });
}

/** Names to the right of arrows that point right, to the left of the others; each column is spread by itself. */
function namesOf(moves: readonly ColourMove[], reach: number, gap: number) {
  return [true, false].flatMap((toRight) => {
    const column = moves.filter(({ a }) => a >= 0 === toRight);
    const places = spreadLabels(
      column.map(({ b }) => b),
      gap,
      gap / 2 - reach,
      reach,
    );
    return column.map((move, i) => ({ ...move, place: places[i] }));
  });
}

/**
 * The changes of lightness on a line of their own: upwards for lighter beside the plot, or under it, to the right for
 * lighter, where there is no room.
 *
 * @param beside where the line stands, as a change of a*
 */
function lightness(
  Plot: PlotLibrary,
  moves: readonly ColourMove[],
  reach: number,
  changes: (px: number) => number,
  beside: number | undefined,
): Mark[] {
  const most = Math.max(1e-6, ...moves.map(({ lightness }) => Math.abs(lightness))) * 1.15;
  const middle = beside ?? -reach - changes(78);
  const rule = (list: readonly { at: number; colour: string }[], half: number, strokeWidth: number): Mark => {
    const [from, to] = [middle - changes(half), middle + changes(half)];
    const stroke = raw(list.map(({ colour }) => colour));
    return beside === undefined
      ? Plot.ruleX(list, { x: "at", y1: from, y2: to, stroke, strokeWidth })
      : Plot.ruleY(list, { y: "at", x1: from, x2: to, stroke, strokeWidth });
  };
  const ends = [
    { text: "darker", at: -1 },
    { text: "lighter", at: 1 },
  ];
  return [
    beside === undefined
      ? Plot.ruleY([middle], { x1: -reach, x2: reach, stroke: hairline })
      : Plot.ruleX([middle], { y1: -reach, y2: reach, stroke: hairline }),
    rule(
      moves.map(({ lightness, colour }) => ({ at: (lightness / most) * reach, colour })),
      13,
      4,
    ),
    rule([{ at: 0, colour: inkSoft }], 20, 1),
    ...ends.map(({ text, at }) =>
      beside === undefined
        ? Plot.text([text], { x: [at * reach], y: [middle], dy: 28, textAnchor: at < 0 ? "start" : "end" })
        : Plot.text([text], { x: [middle], y: [at * reach], dy: -16 * at }),
    ),
  ];
}
