import type { JobSheet, SheetRecipe } from "./jobSheet.ts";
import {
  escaped,
  linkHtml,
  type NotebookLink,
  type PrintedPage,
  pageDocument,
  pageStyles,
  panelPicture,
  shortened,
  textSizeFor,
} from "./paper.ts";

/** The job sheet as one page; the text shrinks when there is much to say. */
export function jobSheetPage(sheet: JobSheet, link: NotebookLink): PrintedPage {
  const { words, time, price, conditions } = sheet;
  const title = titleOf(sheet, link);
  const meta = [
    words.title !== title && shortened(words.title, 70),
    words.customer && `For ${shortened(words.customer, 80)}`,
    words.date && shortened(words.date, 40),
    words.by && `by ${shortened(words.by, 60)}`,
  ].filter(Boolean) as string[];
  const html = `<article class="page">
<header class="top">
<div><h1>${escaped(shortened(title, 70))}</h1><p>${escaped(conditions)}</p>${time || price ? `<p>${escaped([time, price].filter(Boolean).join(" · "))}</p>` : ""}</div>
<div class="meta">${meta.map((line) => `<p>${escaped(line)}</p>`).join("")}<p>${linkHtml({ ...link, text: shortened(link.text, 90) })}</p></div>
</header>
${panels(sheet)}
${layers(sheet)}
<section class="${sheet.recipes.length > 1 ? "two" : "one"}">${sheet.recipes.map(recipe).join("")}</section>
${results(sheet)}
<section><h2>Cautions</h2><ul class="cautions">${sheet.cautions.map((text) => `<li>${escaped(text)}</li>`).join("")}</ul></section>
<section class="notes"><b>Notes</b>${words.remarks ? ` ${escaped(shortened(words.remarks, 400))}` : ""}</section>
<p class="foot">Panels are simulated: judge the match on a real test panel, never on a screen or a print.</p>
</article>`;
  return { html, styles: pageStyles(textSizeFor((perLine) => heightOf(sheet, title, perLine))) };
}

/** The job sheet as a document of its own. */
export function jobSheetDocument(sheet: JobSheet, link: NotebookLink): string {
  return pageDocument(titleOf(sheet, link), jobSheetPage(sheet, link));
}

/** What the job is called: as its notebook is. */
function titleOf({ words }: JobSheet, { title }: NotebookLink): string {
  return title?.trim() || words.title;
}

const cell = (text: string, kind = "") => `<td${kind ? ` class="${kind}"` : ""}>${escaped(text)}</td>`;
const head = (texts: readonly (string | [string, string])[]) =>
  `<thead><tr>${texts
    .map((text) =>
      typeof text === "string"
        ? `<th scope="col">${escaped(text)}</th>`
        : `<th scope="col" class="${text[1]}">${escaped(text[0])}</th>`,
    )
    .join("")}</tr></thead>`;
const rowHead = (text: string) => `<th scope="row">${escaped(shortened(text, nameLength))}</th>`;

/** Longest name of a part or a component in a table. */
const nameLength = 44;

function panels({ panels }: JobSheet): string {
  return `<section class="panels">${panels
    .map(
      ({ name, figure, colours }) =>
        `<figure>${panelPicture(colours, `${name}: ${figure}`)}<figcaption><b>${escaped(shortened(name, 36))}</b>${escaped(shortened(figure, 36))}</figcaption></figure>`,
    )
    .join("")}</section>`;
}

function layers({ layers }: JobSheet): string {
  const flash = layers.some((layer) => layer.flashOff !== "");
  const thinned = layers.some((layer) => layer.thinner !== "–");
  return `<section><h2>Layers, from below</h2><table>${head([
    "Layer",
    "Coats",
    ["Dry", "n"],
    "With",
    ["Mix", "n"],
    ...(thinned ? ([["Thinner", "n"]] as [string, string][]) : []),
    ...(flash ? ([["Flash-off", "n"]] as [string, string][]) : []),
    ["Coats laid", "fill"],
  ])}<tbody>${layers
    .map(
      (layer) =>
        `<tr>${rowHead(layer.name)}${cell(layer.coats)}${cell(layer.dry, "n")}${cell(layer.method)}${cell(layer.mix, "n")}${
          thinned ? cell(layer.thinner, "n") : ""
        }${flash ? cell(layer.flashOff, "n") : ""}${cell("", "fill")}</tr>`,
    )
    .join("")}</tbody></table></section>`;
}

function recipe({ name, parts, unit, rows, total }: SheetRecipe): string {
  const u = unit ? `, ${unit}` : "";
  return `<div><h2>${escaped(name)}${parts ? `: ${escaped(parts)}` : ""}</h2><table>${head([
    "Into the pot",
    [`Amount${u}`, "n"],
    [`Running${u}`, "n"],
    ["Poured", "fill"],
  ])}<tbody>${rows
    .map(
      (row) =>
        `<tr>${rowHead(row.name)}${cell(row.amount, "n")}${cell(row.running, "n")}${cell("", "fill")}</tr>`,
    )
    .join("")}</tbody></table><p>Total ${escaped(total)}</p></div>`;
}

function results({ parts, furtherParts }: JobSheet): string {
  return `<section><h2>Parts and results</h2><table>${head([
    "Part",
    "Count and size",
    ["Predicted", "n"],
    ["Measured ΔE", "fill"],
    ["L*", "fill"],
    ["a*", "fill"],
    ["b*", "fill"],
  ])}<tbody>${parts
    .map(
      (part) =>
        `<tr class="write">${rowHead(part.name)}${cell(part.size)}${cell(part.predicted, "n")}${cell("", "fill").repeat(4)}</tr>`,
    )
    .join("")}</tbody></table>${furtherParts ? `<p>${escaped(furtherParts)}</p>` : ""}</section>`;
}

/**
 * Height of the page's content in ems, counted on the safe side.
 * @param perLine characters that go into the width of the page
 */
function heightOf(sheet: JobSheet, title: string, perLine: number): number {
  const { words } = sheet;
  /** Lines of a text in a share of the page's width. */
  const lines = (text: string, share: number) =>
    Math.max(1, Math.ceil(text.length / Math.max(1, Math.floor(perLine * share))));
  const name = (text: string) => shortened(text, nameLength);
  const line = 1.3;
  const cellPadding = 0.32;
  const heading = 1.8;
  const row = (...most: number[]) => line * Math.max(...most) + cellPadding;

  const left =
    1.9 * 1.15 * lines(shortened(title, 70), 0.55 / 1.9) +
    line * lines(sheet.conditions, 0.55) +
    line * lines([sheet.time, sheet.price].filter(Boolean).join(" · "), 0.55);
  const right = [words.title === title ? "" : words.title, words.customer, words.date, words.by].filter(
    Boolean,
  );
  const header = Math.max(
    left,
    line * (right.reduce((sum, text) => sum + lines(`For ${text}`, 0.36), 0) + 3),
  );
  const captions = sheet.panels.map(
    ({ name, figure }) => lines(shortened(name, 36), 0.14) + lines(shortened(figure, 36), 0.14),
  );
  const panels = sheet.panels.length > 0 ? 4.5 + 1.2 * Math.max(...captions) : 0;
  const layers = heading + row(2) + sheet.layers.reduce((sum, { coats }) => sum + row(lines(coats, 0.26)), 0);
  const half = sheet.recipes.length > 1;
  const recipe = ({ name: title, parts, rows }: SheetRecipe) =>
    heading * lines(`${title}: ${parts}`, half ? 0.44 : 0.9) +
    row(half ? 2 : 1) +
    rows.reduce((sum, component) => sum + row(lines(name(component.name), half ? 0.17 : 0.5)), 0) +
    line;
  const parts =
    heading +
    row(2) +
    sheet.parts.reduce(
      (sum, part) => sum + Math.max(2.1, row(lines(name(part.name), 0.22), lines(part.size, 0.24))),
      0,
    ) +
    (sheet.furtherParts ? line * lines(sheet.furtherParts, 0.95) : 0);
  const cautions =
    heading + (line + 0.1) * (sheet.cautions.reduce((sum, text) => sum + lines(text, 0.44), 0) / 2 + 1.5);
  const notes = Math.max(4, line * lines(shortened(words.remarks, 400), 0.9) + 1);
  const gaps = 7 * 0.7;
  const foot = 1.6;
  return (
    header +
    panels +
    layers +
    Math.max(0, ...sheet.recipes.map(recipe)) +
    parts +
    cautions +
    notes +
    gaps +
    foot
  );
}
