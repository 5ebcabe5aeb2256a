import type * as PlotModule from "@observablehq/plot";

/** The Plot library, handed in by the caller so that it is loaded only when a chart is shown. */
export type PlotLibrary = typeof PlotModule;
export type PlotOptions = PlotModule.PlotOptions;
export type Mark = PlotModule.Markish;

/** Size of the whole chart in CSS pixels. */
export interface ChartSize {
  width: number;
  height: number;
}
