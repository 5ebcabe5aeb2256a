import type { ChartOptions, ChartSize, PlotLibrary } from "../../../src/charts/chartTypes.ts";
import { curveEdge, ink } from "../../../src/charts/chrome.ts";
import { type BarPiece, barEnd, rowBars } from "../../../src/charts/rowBars.ts";

interface ReasonStep {
  readonly label: string;
  /** money added (or taken away) */
  readonly amount: number;
  readonly text: string;
}

interface ReasonsData {
  readonly start: { readonly label: string; readonly amount: number; readonly text: string };
  readonly steps: readonly ReasonStep[];
  readonly end: { readonly label: string; readonly amount: number; readonly text: string };
}

/** From the price of one colour to that of another: each reason begins where the one before ends. */
export function reasonsChart(
  Plot: PlotLibrary,
  { start, steps, end }: ReasonsData,
  size: ChartSize,
): ChartOptions {
  const whole = (row: number, to: number): BarPiece => ({ row, from: 0, to, fill: "#5a5a5a" });
  const pieces = [whole(0, start.amount)];
  /** the amount reached after each row but the last */
  const reached = [start.amount];
  steps.forEach(({ amount }, i) => {
    const [one, other] = [reached[i], reached[i] + amount];
    const [from, to] = [Math.min(one, other), Math.max(one, other)];
    pieces.push({ row: i + 1, from, to, fill: "#d9d9d9", pattern: "rising" });
    reached.push(other);
  });
  pieces.push(whole(steps.length + 1, end.amount));
  return rowBars(
    Plot,
    {
      least: 2,
      x: { domain: [0, Math.max(1e-9, ...pieces.map(({ to }) => to))], axis: null },
      rows: [start, ...steps, end],
      pieces,
      under: [
        Plot.ruleX(reached, {
          x: (amount: number) => amount,
          y1: (_, row) => row + barEnd,
          y2: (_, row) => row + 1.4,
          stroke: curveEdge,
          strokeDasharray: "3 3",
        }),
      ],
      over: [Plot.ruleX([0], { stroke: ink })],
    },
    size,
  );
}
