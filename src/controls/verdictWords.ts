import { html } from "lit";
import type { Verdict } from "../graph/verdict.ts";

/** A verdict with its key figure in bold. */
export function verdictWords({ text, figure = "" }: Verdict) {
  const at = figure ? text.indexOf(figure) : -1;
  if (at < 0) return text;
  return html`${text.slice(0, at)}<strong>${figure}</strong>${text.slice(at + figure.length)}`;
}
