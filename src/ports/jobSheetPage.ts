import type { JobSheet, SheetRecipe } from "./jobSheet.ts";
import {
  escaped,
  linkHtml,
  type NotebookLink,
  pageDocument,
  pageStyles,
  panelPicture,
  shortened,
  textSizeFor,
} from "./jobSheetPaper.ts";

/** A printable page: what stands on it, and its style sheet. */
export interface PrintedPage {
  readonly html: string;
  readonly styles: string;
}

/** The job sheet as one page; the text shrinks when there is much to say. */
export function jobSheetPage(sheet: JobSheet, link: NotebookLink): PrintedPage {
  const { words, time, price, conditions } = sheet;
  const meta = [
    words.customer && `For ${shortened(words.customer, 80)}`,
    words.date && shortened(words.date, 40),
    words.by && `by ${shortened(words.by, 60)}`,
  ].filter(Boolean) as string[];
  const html = `<article class="page">
<header class="top">
<div><h1>${escaped(shortened(words.title, 70))}</h1><p>${escaped(conditions)}</p>${time || price ? `<p>${escaped([time, price].filter(Boolean).join(" · "))}</p>` : ""}</div>
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
  return { html, styles: pageStyles(textSizeFor(linesOf(sheet))) };
}

/** The job sheet as a document of its own. */
export function jobSheetDocument(sheet: JobSheet, link: NotebookLink): string {
  return pageDocument(sheet.words.title, jobSheetPage(sheet, link));
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

/** Height of the page's content in lines of 1 em, counted on the safe side. */
export function linesOf(sheet: JobSheet): number {
  const rows = (text: string, perLine: number) => Math.max(1, Math.ceil(text.length / perLine));
  const row = 1.62;
  const { words } = sheet;
  const left =
    2.3 * rows(shortened(words.title, 70), 32) +
    1.3 * rows(sheet.conditions, 62) +
    1.3 * rows([sheet.time, sheet.price].filter(Boolean).join(" · "), 62);
  const header = Math.max(left, 1.3 * 8);
  const captions = Math.max(
    1,
    ...sheet.panels.map(
      ({ name, figure }) => rows(shortened(name, 36), 13) + rows(shortened(figure, 36), 13),
    ),
  );
  const panelLines = sheet.panels.length > 0 ? 5.2 + 1.2 * captions : 0;
  const layerLines =
    1.8 + row + sheet.layers.reduce((sum, layer) => sum + 0.4 + 1.3 * rows(layer.coats, 30), 0);
  const recipeLines = Math.max(
    0,
    ...sheet.recipes.map(
      ({ rows: components, name, parts }) =>
        1.8 * rows(`${name}: ${parts}`, 44) +
        row +
        components.reduce((sum, component) => {
          const perLine = sheet.recipes.length > 1 ? 17 : 60;
          return sum + 0.4 + 1.3 * rows(shortened(component.name, nameLength), perLine);
        }, 0) +
        1.5,
    ),
  );
  const partLines =
    1.8 +
    row +
    sheet.parts.reduce(
      (sum, { name, size }) =>
        sum + Math.max(2.1, 0.4 + 1.3 * Math.max(rows(shortened(name, nameLength), 22), rows(size, 26))),
      0,
    ) +
    (sheet.furtherParts ? 1.4 : 0);
  const cautionLines = 1.8 + (1.4 * sheet.cautions.reduce((sum, text) => sum + rows(text, 46), 0)) / 2 + 2;
  const noteLines = Math.max(4, 1.3 * rows(shortened(words.remarks, 400), 95) + 1);
  const gaps = 8 * 0.7 + 1.6;
  return header + panelLines + layerLines + recipeLines + partLines + cautionLines + noteLines + gaps;
}
