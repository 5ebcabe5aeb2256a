import { html, nothing } from "lit";
import type * as ChartFiles from "./chartFile.ts";

type Drawn = Omit<ChartFiles.DrawnChart, "picture"> & { readonly picture: SVGElement | null };

/**
 * The ways to save a chart; what writes the files is loaded when one is asked for.
 * @param drawn the chart as it stands when it is saved
 * @param table the numbers behind it, if there are any to save
 * @param close called when a way was chosen
 */
export function chartMenu(
  drawn: () => Drawn,
  table: (() => ChartFiles.ChartTable) | undefined,
  close: () => void,
) {
  const save = (way: (files: typeof ChartFiles, chart: ChartFiles.DrawnChart) => unknown) => async () => {
    close();
    const { picture, ...rest } = drawn();
    if (picture) await way(await import("./chartFile.ts"), { ...rest, picture });
  };
  return html`<div class="ways" role="group" aria-label="Save this chart as">
    <button @click=${save((files, chart) => files.saveSvg(chart))}>Picture (SVG)</button>
    <button @click=${save((files, chart) => files.savePng(chart))}>Picture (PNG)</button>
    ${table ? html`<button @click=${save((files, chart) => files.saveTable(table(), chart.title))}>Numbers (CSV)</button>` : nothing}
  </div>`;
}
