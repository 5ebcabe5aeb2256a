import type { plot } from "@observablehq/plot";

/** Where the axes of a drawn chart lie. */
export interface ChartAxes {
  /** px of the picture → data units, kept inside the axis */
  x(px: number): number;
  /** undefined where the upright axis cannot be read back */
  y: ((px: number) => number) | undefined;
  /** data units → px */
  place(value: number): number;
  /** ends of the level axis, data units */
  from: number;
  to: number;
  /** edges of the plot area, px */
  top: number;
  bottom: number;
}

/** The axes of a chart, when its level one has numbers. */
export function chartAxes(picture: ReturnType<typeof plot>): ChartAxes | undefined {
  const [x, y] = [picture.scale("x"), picture.scale("y")];
  if (!x?.invert || !x.domain || !y?.range) return undefined;
  const { invert } = x;
  const { invert: invertY } = y;
  const [from, to] = [...x.domain] as number[];
  const edges = [...y.range] as number[];
  const [top, bottom] = [Math.min(...edges), Math.max(...edges)];
  return {
    x: (px) => Math.min(to, Math.max(from, invert(px))),
    y: invertY && ((px) => invertY(Math.min(bottom, Math.max(top, px)))),
    place: x.apply,
    from,
    to,
    top,
    bottom,
  };
}
