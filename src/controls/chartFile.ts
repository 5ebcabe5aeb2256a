import { saveBlob, saveText } from "./saveFile.ts";

/** The numbers behind a chart: names of the columns with their units, and the rows; undefined or not finite is left empty. */
export interface ChartTable {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly (string | number | undefined)[])[];
}

/** How much finer a picture made of points is than the screen's own. */
const pngScale = 2;

/** A file name of plain letters from a title. */
export function fileNameOf(title: string): string {
  const plain = title
    .normalize("NFKD")
    .replaceAll("Δ", "delta-")
    .replace(/[^A-Za-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .toLowerCase()
    .slice(0, 60);
  return plain || "chart";
}

/** A table as comma-separated text (RFC 4180), quoted where needed. */
export function csvText({ columns, rows }: ChartTable): string {
  const field = (value: string | number | undefined) => {
    if (value === undefined || (typeof value === "number" && !Number.isFinite(value))) return "";
    const text = String(value);
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  return [columns, ...rows].map((row) => `${row.map(field).join(",")}\r\n`).join("");
}

const escaped = (text: string) =>
  text.replace(/[&<>"]/g, (letter) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[letter]!);

/** A chart on the page, as it is saved: the picture and the key above it. */
export interface DrawnChart {
  readonly picture: SVGElement;
  readonly key: Element;
  readonly title: string;
  readonly description: string;
}

/** The key as marks of the file, each sample and each line of words where the page has it. */
function keyText(key: Element): string {
  const corner = key.getBoundingClientRect();
  const at = (box: DOMRect) => [box.left - corner.left, box.top - corner.top].map(Math.round);
  return [...key.querySelectorAll("li")]
    .map((entry) => {
      const [sample, words] = [entry.querySelector("svg")!, entry.querySelector("span")!];
      const [x, y] = at(sample.getBoundingClientRect());
      const [left, top] = at(words.getBoundingClientRect());
      const weight = getComputedStyle(words).fontWeight;
      return (
        `<g transform="translate(${x},${y})" fill="none">${sample.innerHTML.replace(/<!--.*?-->/g, "")}</g>` +
        `<text x="${left}" y="${top + 15}" text-anchor="start" font-weight="${weight}">${escaped(words.textContent!)}</text>`
      );
    })
    .join("");
}

/**
 * A drawn chart as a file of its own: custom properties replaced by what they stand for here, the page's own font, paper
 * behind it, its key above it, name and description inside. Worked on as text: a copy in the page would fall under the
 * page's own policy.
 */
export function svgText({ picture, key, title, description }: DrawnChart): string {
  const style = getComputedStyle(picture);
  const paper = style.getPropertyValue("--bole-paper").trim() || "#ffffff";
  const { width, height } = sizeOf({ picture, key });
  const keyHeight = height - picture.getBoundingClientRect().height;
  const head =
    `<title>${escaped(title)}</title>${description ? `<desc>${escaped(description)}</desc>` : ""}` +
    `<rect y="${-keyHeight}" width="100%" height="100%" fill="${paper}"/>` +
    `<g transform="translate(0,${-keyHeight})">${keyText(key)}</g>`;
  return new XMLSerializer()
    .serializeToString(picture)
    .replace(/<svg([^>]*)>/, (_, attributes: string) => {
      const kept = attributes.replace(
        / (?:style|aria-hidden|font-family|role|width|height|viewBox)="[^"]*"/g,
        "",
      );
      const text = `font-size:${style.fontSize};font-family:${style.fontFamily};color:${style.color};white-space:pre`;
      const box = `width="${width}" height="${height}" viewBox="0 ${-keyHeight} ${width} ${height}"`;
      return `<svg${kept} ${box} role="img" style="${escaped(text)}">${head}`;
    })
    .replace(
      /var\(\s*(--[\w-]+)\s*(?:,\s*([^()]*(?:\([^()]*\))?[^()]*))?\)/g,
      (_, name: string, spare?: string) => style.getPropertyValue(name).trim() || (spare ?? "").trim(),
    )
    .replaceAll("currentColor", style.color);
}

function sizeOf({ picture, key }: Pick<DrawnChart, "picture" | "key">) {
  const { width, height } = picture.getBoundingClientRect();
  return { width, height: height + Math.ceil(key.getBoundingClientRect().height) };
}

/** Save a drawn chart as a picture that can be enlarged. */
export function saveSvg(chart: DrawnChart): void {
  saveText(`${fileNameOf(chart.title)}.svg`, svgText(chart), "image/svg+xml");
}

/** Save a drawn chart as a picture made of points. @throws Error when the browser cannot draw it */
export async function savePng(chart: DrawnChart): Promise<void> {
  const { width, height } = sizeOf(chart);
  const address = URL.createObjectURL(new Blob([svgText(chart)], { type: "image/svg+xml" }));
  try {
    const image = new Image();
    image.src = address;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(width * pngScale);
    canvas.height = Math.round(height * pngScale);
    canvas.getContext("2d")!.drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/png"));
    if (!blob) throw new Error("the picture could not be made");
    saveBlob(`${fileNameOf(chart.title)}.png`, blob);
  } finally {
    URL.revokeObjectURL(address);
  }
}

/** Save the numbers behind a chart. */
export function saveTable(table: ChartTable, title: string): void {
  saveText(`${fileNameOf(title)}.csv`, csvText(table), "text/csv");
}
