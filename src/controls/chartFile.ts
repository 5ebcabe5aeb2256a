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

/**
 * A drawn chart as a file of its own: custom properties replaced by what they stand for here, the page's own font, paper
 * behind it, name and description inside. Worked on as text: a copy in the page would fall under the page's own policy.
 */
export function svgText(picture: SVGElement, title: string, description: string): string {
  const style = getComputedStyle(picture);
  const paper = style.getPropertyValue("--bole-paper").trim() || "#ffffff";
  const head =
    `<title>${escaped(title)}</title>${description ? `<desc>${escaped(description)}</desc>` : ""}` +
    `<rect width="100%" height="100%" fill="${paper}"/>`;
  return new XMLSerializer()
    .serializeToString(picture)
    .replace(
      /var\(\s*(--[\w-]+)\s*(?:,\s*([^()]*(?:\([^()]*\))?[^()]*))?\)/g,
      (_, name: string, spare?: string) => style.getPropertyValue(name).trim() || (spare ?? "").trim(),
    )
    .replaceAll("currentColor", style.color)
    .replace(/<svg([^>]*)>/, (_, attributes: string) => {
      const kept = attributes.replace(/ (?:style|aria-hidden|font-family|role)="[^"]*"/g, "");
      const text = `font-size:${style.fontSize};font-family:${style.fontFamily};color:${style.color};white-space:pre`;
      return `<svg${kept} role="img" style="${escaped(text)}">${head}`;
    });
}

/** Save a drawn chart as a picture that can be enlarged. */
export function saveSvg(picture: SVGElement, title: string, description: string): void {
  saveText(`${fileNameOf(title)}.svg`, svgText(picture, title, description), "image/svg+xml");
}

/** Save a drawn chart as a picture made of points. @throws Error when the browser cannot draw it */
export async function savePng(picture: SVGElement, title: string, description: string): Promise<void> {
  const { width, height } = picture.getBoundingClientRect();
  const address = URL.createObjectURL(
    new Blob([svgText(picture, title, description)], { type: "image/svg+xml" }),
  );
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
    saveBlob(`${fileNameOf(title)}.png`, blob);
  } finally {
    URL.revokeObjectURL(address);
  }
}

/** Save the numbers behind a chart. */
export function saveTable(table: ChartTable, title: string): void {
  saveText(`${fileNameOf(title)}.csv`, csvText(table), "text/csv");
}
