import { escaped, type PrintedPage, pageDocument, pageStyles, shortened } from "./paper.ts";

/** What to draw down for a calibration, and why (common practice). */
export const worksheetSteps: readonly { readonly what: string; readonly why: string }[] = [
  {
    what: "Measure the bare card first, its black and its white.",
    why: "Everything is read against them.",
  },
  {
    what: "The paste alone (in binder, no white): two films, a thin and a thick one, over black and white.",
    why: "Two thicknesses tell strength from film build, and show where the theory bends.",
  },
  {
    what: "Three let-downs with your known white: about 1:2, 1:10 and 1:40 by weight, thin and thick.",
    why: "White brings the scattering of the paste out, and ties its strength to a paste that is already known.",
  },
  {
    what: "Write down what you weighed, to 0.01 g, and which wet gap you used.",
    why: "Amounts by mass are turned to volume by the densities.",
  },
  {
    what: "Measure the dry films with a gauge, one of them at least.",
    why: "One measured film fixes the scale of all the others.",
  },
  {
    what: "Read each film three times on different spots, over black and over white.",
    why: "The spread of the readings is where the error bars come from.",
  },
  {
    what: "Keep the specular setting of the instrument the same throughout, and note it.",
    why: "Included and excluded differ by about 4 % everywhere.",
  },
  {
    what: "Only a sensor that gives Lab, or a camera beside a grey card? Draw down the same films.",
    why: "Colours alone make a coarse calibration; it says by how much it is off.",
  },
];

/** The films of the worksheet. */
export const worksheetFilms: readonly string[] = [
  "bare card",
  "masstone, thin",
  "masstone, thick",
  "let-down 1:2, thin",
  "let-down 1:2, thick",
  "let-down 1:10, thin",
  "let-down 1:10, thick",
  "let-down 1:40, thin",
  "let-down 1:40, thick",
];
const ownFilms = ["", "", ""];

const textSize = 10;

/** The worksheet as one printed page that fits A4 and Letter. */
export function worksheetPage(paste: string): PrintedPage {
  const title = `Drawdowns of ${shortened(paste.trim() || "a new paste", 60)}`;
  const blank = (label: string, wide = false) =>
    `<span class="${wide ? "blank wide" : "blank"}">${label} <i></i></span>`;
  const row = (label: string) =>
    `<tr class="write">${label ? `<th scope="row">${escaped(label)}</th>` : "<td></td>"}${Array.from({ length: 6 }, (_, k) => `<td class="fill">${label === "bare card" && k < 4 ? "–" : ""}</td>`).join("")}</tr>`;
  const html = `<article class="page worksheet">
<h1>${escaped(title)}</h1>
<p class="blanks">${blank("Density, g/mL")}${blank("Volume solids, %")}${blank("Measured by", true)}${blank("on")}${blank("Instrument, light, observer", true)}<span>Specular part: ☐ included ☐ excluded</span></p>
<section><h2>What to draw down, and why</h2><ol>${worksheetSteps.map(({ what, why }) => `<li><b>${escaped(what)}</b> ${escaped(why)}</li>`).join("")}</ol></section>
<table><thead><tr><th scope="col">Film</th><th scope="col">paste, g</th><th scope="col">white, g</th><th scope="col">binder, g</th><th scope="col">thickness, µm (dry, wet, gap)</th><th scope="col">over black: file or Lab</th><th scope="col">over white: file or Lab</th></tr></thead>
<tbody>${[...worksheetFilms, ...ownFilms].map(row).join("")}</tbody></table>
<section class="notes"><b>Notes</b></section>
<p class="foot">Follow the label and the safety data sheet of the paste and the local rules. Ventilate; keep it off the skin.</p>
</article>`;
  return { html, styles: `${pageStyles(textSize)}${styles}` };
}

/** The worksheet as a file of its own. */
export function worksheetFile(paste: string): string {
  return pageDocument("Drawdown worksheet", worksheetPage(paste));
}

const styles = `
.worksheet .blanks { display: flex; flex-wrap: wrap; align-items: end; gap: .5em 1.6em; }
.worksheet .blank { display: inline-flex; gap: .4em; align-items: end; }
.worksheet .blank i { inline-size: 5em; block-size: 1.7em; border-block-end: .06em solid #000; }
.worksheet .blank.wide i { inline-size: 12em; }
.worksheet ol { columns: 2; column-gap: 2em; margin: .3em 0 0; padding-inline-start: 1.4em; }
.worksheet li { break-inside: avoid; padding-block-end: .4em; }
.worksheet tr.write td, .worksheet tr.write th { block-size: 2.6em; }
.worksheet tbody th { font-weight: 400; inline-size: 10.5em; }
.worksheet td.fill { inline-size: 5.2em; }
.worksheet td.fill:nth-last-child(-n + 3) { inline-size: 8em; }
.worksheet thead th { padding-inline: .4em; }
.worksheet thead th:first-child { padding-inline-start: 0; }
`;
