import type { ChartOptions, ChartSize, PlotLibrary } from "./chartTypes.ts";
import { hairline, ink, inkSoft, paper } from "./chrome.ts";
import { chartOptions, frameOf, raw } from "./frame.ts";

/** A region after so many panels. */
interface CloudRound {
  label: string;
  L: number;
  a: number;
  b: number;
  /** a*, b* by turns around the ellipse */
  outline: ArrayLike<number>;
  darkest: number;
  lightest: number;
}

interface CloudPanel {
  label: string;
  L: number;
  a: number;
  b: number;
  /** CSS colour */
  colour: string;
}

export interface CloudData {
  /** The regions, the newest last. */
  rounds: readonly CloudRound[];
  panels: readonly CloudPanel[];
}

/** Room for the bar of L* on the right, px. */
const barRoom = 92;
/** Regions drawn: the newest, and those before it, fainter. */
const mostRounds = 6;

/**
 * Where a reference lies: an ellipse in a*b* and a bar in L* for each round, the newest in ink, with the panels poured as
 * dots of their own colour. Both axes of the plane have one scale; the bar has its own, told at its ends.
 */
export function cloudChart(Plot: PlotLibrary, { rounds, panels }: CloudData, size: ChartSize): ChartOptions {
  const shown = rounds.slice(-mostRounds);
  const newest = shown[shown.length - 1];
  const outlines = shown.flatMap(({ outline, label }) =>
    Array.from({ length: outline.length / 2 }, (_, i) => ({
      a: outline[2 * i],
      b: outline[2 * i + 1],
      label,
    })),
  );
  const places = [...outlines, ...panels];
  const middle = (of: "a" | "b") =>
    (Math.min(...places.map((p) => p[of])) + Math.max(...places.map((p) => p[of]))) / 2;
  const [a0, b0] = [middle("a"), middle("b")];
  const reach = 1.08 * Math.max(1, ...places.flatMap(({ a, b }) => [Math.abs(a - a0), Math.abs(b - b0)]));
  const top = 34;
  const bottom = 52;
  const left = 48;
  const side = Math.max(60, Math.min(size.height - top - bottom, size.width - left - barRoom));
  const frame = frameOf(size, {
    top,
    left,
    right: size.width - left - side,
    bottom: size.height - top - side,
  });
  const lights = [
    ...shown.flatMap(({ darkest, lightest }) => [darkest, lightest]),
    ...panels.map(({ L }) => L),
  ];
  const [dark, light] = [Math.min(...lights), Math.max(...lights)];
  const height = (L: number) =>
    b0 + (light > dark ? 2 * ((L - dark) / (light - dark)) - 1 : 0) * reach * 0.86;
  /** Places of the plane for so many px. */
  const px = (count: number) => (count * 2 * reach) / side;
  const bar = a0 + reach + px(38);
  const axis = { tickSpacing: Math.max(60, side / 6) };
  return chartOptions(Plot, frame, {
    x: { ...axis, domain: [a0 - reach, a0 + reach], label: "a*" },
    y: { ...axis, domain: [b0 - reach, b0 + reach], label: "b*" },
    marks: [
      Plot.line(outlines, { x: "a", y: "b", z: "label", stroke: inkSoft, strokeWidth: 1 }),
      Plot.line(
        outlines.filter(({ label }) => label === newest.label),
        { x: "a", y: "b", stroke: ink, strokeWidth: 3 },
      ),
      Plot.dot(panels, { x: "a", y: "b", r: 7, fill: raw(panels.map(({ colour }) => colour)), stroke: ink }),
      Plot.text(panels, {
        x: "a",
        y: "b",
        text: "label",
        dy: -16,
        fill: ink,
        stroke: paper,
        strokeWidth: 5,
      }),
      Plot.dot([newest], { x: "a", y: "b", symbol: "times", r: 7, stroke: ink, strokeWidth: 2.5 }),
      Plot.ruleX([bar], { y1: b0 - reach * 0.86, y2: b0 + reach * 0.86, stroke: hairline }),
      Plot.ruleX(shown, {
        x: shown.map((_, k) => bar + px(4 * (k - shown.length + 1))),
        y1: shown.map(({ darkest }) => height(darkest)),
        y2: shown.map(({ lightest }) => height(lightest)),
        stroke: raw(shown.map((round) => (round === newest ? ink : inkSoft))),
        strokeWidth: 3,
      }),
      Plot.dot(panels, {
        x: panels.map(() => bar + px(16)),
        y: panels.map(({ L }) => height(L)),
        r: 6,
        fill: raw(panels.map(({ colour }) => colour)),
        stroke: ink,
      }),
      Plot.text([`L* ${light.toFixed(1)}`], { x: [bar], y: [height(light)], dy: -14 }),
      Plot.text([dark.toFixed(1)], { x: [bar], y: [height(dark)], dy: 16 }),
    ],
  });
}
