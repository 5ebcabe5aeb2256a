// What every printed page shares: escaped text, colour panels without inline styles, one style sheet that fits both
// A4 and US Letter. Pages are plain strings, so that the command line makes the same page as the browser.

/** Text made safe for HTML, in elements and in attributes. */
export function escaped(text: string): string {
  return text
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replaceAll("'", "&#39;");
}

/** A long text cut at a word where possible, with an ellipsis. */
export function shortened(text: string, length: number): string {
  const clean = text.replace(/\s+/g, " ").trim();
  if (clean.length <= length) return clean;
  const cut = clean.slice(0, length - 1);
  const space = cut.lastIndexOf(" ");
  return `${(space > length / 2 ? cut.slice(0, space) : cut).trimEnd()}…`;
}

/** A flat panel of one or two colours touching edge to edge, as a picture: strict pages allow no style attributes. */
export function panelPicture(colours: readonly string[], label: string): string {
  const width = 100 / colours.length;
  const halves = colours
    .map(
      (colour, i) =>
        `<rect x="${(i * width).toFixed(3)}%" y="0" width="${width.toFixed(3)}%" height="100%" fill="${escaped(colour)}"/>`,
    )
    .join("");
  return `<svg class="panel" role="img" aria-label="${escaped(label)}">${halves}</svg>`;
}

/** Where a page leads back to: the notebook file. */
export interface NotebookLink {
  /** file name or address as printed */
  readonly text: string;
  /** where it leads; only web addresses and file names are taken as links */
  readonly href?: string;
  /** what the notebook is called */
  readonly title?: string;
}

/** The link as HTML; an address of another kind is printed as text. */
export function linkHtml({ text, href }: NotebookLink): string {
  const safe = href !== undefined && (/^https?:\/\//i.test(href) || /^[^:]*$/.test(href));
  return safe ? `<a href="${escaped(href)}">${escaped(text)}</a>` : escaped(text);
}

/** Printed width and height that both papers hold with margins of 12 mm: A4 is 210 × 297 mm, Letter 215.9 × 279.4 mm. */
const printedWidth = 186;
const printedHeight = 254;
const pointsPerMillimetre = 72 / 25.4;

/**
 * Largest text size at which a content fits on the page, pt.
 * @param heightAt height of the content in ems when so many characters of running text go into the width of the page
 */
export function textSizeFor(heightAt: (charactersPerLine: number) => number, largest = 10): number {
  const height = printedHeight * pointsPerMillimetre;
  const width = printedWidth * pointsPerMillimetre;
  for (let size = largest; size > smallestText; size -= 0.1)
    if (heightAt(width / (size * characterWidth)) * size <= height) return Number(size.toFixed(1));
  return smallestText;
}

/** Mean width of a character of common sans-serif faces, em; rounded up (common practice). */
const characterWidth = 0.52;
const smallestText = 4;

/** Style sheet of a page whose text has a size, pt. */
export function pageStyles(size: number): string {
  return `
@page { margin: 12mm; }
.page { box-sizing: border-box; display: flex; flex-direction: column; gap: .7em;
  inline-size: ${printedWidth}mm; min-block-size: ${printedHeight}mm;
  font: ${size}pt/1.3 system-ui, "Segoe UI", Roboto, "Noto Sans", "Open Sans", sans-serif;
  color: #000; background: #fff; color-scheme: light; font-variant-numeric: tabular-nums; text-align: start; }
.page *, .page *::before, .page *::after { box-sizing: border-box; }
.page h1, .page h2, .page p, .page table, .page ul, .page figure, .page dl, .page dd { margin: 0; padding: 0; }
.page h1 { font-size: 1.9em; line-height: 1.15; overflow-wrap: anywhere; }
.page h2 { font-size: 1.05em; border-block-end: .12em solid #000; padding-block-end: .1em; margin-block-end: .15em; }
.page a { color: inherit; overflow-wrap: anywhere; }
.page .top { display: flex; justify-content: space-between; align-items: flex-start; gap: 1.5em; }
.page .top > :first-child { flex: 1; min-inline-size: 0; }
.page .meta { text-align: end; max-inline-size: 40%; overflow-wrap: anywhere; }
.page .soft { color: #333; }
.page .panels { display: grid; grid-template-columns: repeat(6, 1fr); gap: .8em; }
.page figcaption { line-height: 1.2; padding-block-start: .2em; overflow-wrap: anywhere; }
.page figcaption b { display: block; }
.page .panel { display: block; inline-size: 100%; block-size: 4.2em; border: .5em solid #777;
  print-color-adjust: exact; -webkit-print-color-adjust: exact; forced-color-adjust: none; }
.page table { border-collapse: collapse; inline-size: 100%; }
.page caption { text-align: start; font-weight: 700; }
.page th, .page td { text-align: start; vertical-align: top; padding: .12em .6em .12em 0; border-block-end: .06em solid #999; overflow-wrap: anywhere; }
.page th { font-weight: 700; }
.page thead th { color: #333; font-weight: 400; vertical-align: bottom; }
.page .n { text-align: end; white-space: nowrap; overflow-wrap: normal; }
.page td.n + td:not(.n), .page th.n + th:not(.n) { padding-inline-start: .9em; }
.page .fill { border: .06em solid #000; min-inline-size: 4.2em; }
.page tr.write td, .page tr.write th { block-size: 2em; vertical-align: middle; }
.page td.fill, .page th.fill { padding-inline: .4em; text-align: center; white-space: nowrap; }
.page .two { display: grid; grid-template-columns: 1fr 1fr; gap: 1.4em; }
.page .two > * { min-inline-size: 0; }
.page .cautions { columns: 2; column-gap: 1.4em; list-style: none; }
.page .cautions li { break-inside: avoid; padding-inline-start: 1em; text-indent: -1em; padding-block-end: .1em; }
.page .cautions li::before { content: "! "; font-weight: 700; }
.page .notes { flex: 1; min-block-size: 4em; border: .06em solid #000; padding: .2em .5em; }
.page .foot { border-block-start: .06em solid #999; padding-block-start: .2em; font-size: .9em; }
.page .total { font-size: 1.5em; font-weight: 700; }
.page .words p + p { margin-block-start: .45em; }
.page .words p { font-size: 1.1em; max-inline-size: 80ch; }
`;
}

/** A printable page: what stands on it, and its style sheet. */
export interface PrintedPage {
  readonly html: string;
  readonly styles: string;
}

/** A whole document around a page, to be saved, opened and printed by itself. */
export function pageDocument(title: string, page: PrintedPage): string {
  return `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light">
<title>${escaped(title)}</title>
<style>
html { background: #fff; }
body { margin: 0; }
@media screen { body { padding: 12mm; inline-size: max-content; margin-inline: auto; } }
${page.styles}</style>
</head>
<body>
${page.html}
</body>
</html>
`;
}
