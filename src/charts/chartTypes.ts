import type * as PlotModule from "@observablehq/plot";

/** The Plot library, handed in by the caller so that it is loaded only when a chart is shown. */
export type PlotLibrary = typeof PlotModule;
export type Mark = PlotModule.Markish;

/** Size of the whole picture in CSS pixels. */
export interface ChartSize {
  width: number;
  height: number;
  /** little room: the axes go without their names, which stand over the chart, and the plot area may be flat */
  compact?: boolean;
}

/** Hatchings that tell areas apart without their colour. */
export type PatternName = "none" | "rising" | "falling" | "dots" | "level" | "upright";

/** How one curve is drawn: two curves of one chart never share a dash pattern before the patterns run out. */
export interface Stroke {
  colour: string;
  dash: string;
  width: number;
}

/** One entry of a chart's key: a sample of a line, of an area or of a sign, and its words. */
export interface KeyEntry {
  label: string;
  stroke?: Stroke;
  /** CSS colour of an area, with its hatching */
  fill?: string;
  pattern?: PatternName;
  sign?: "full" | "hollow" | "cross";
  bold?: boolean;
}

/** What Plot draws, and the key that stands above it as words of the page, so that they wrap and are never cut. */
export type ChartOptions = PlotModule.PlotOptions & { key?: readonly KeyEntry[] };
