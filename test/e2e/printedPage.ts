import { inflateSync } from "node:zlib";
import { PDFiumLibrary } from "@hyzyla/pdfium";
import type { Page } from "playwright-core";

/** Papers in points, as PDF counts (1/72 inch). */
export const papers = {
  A4: { width: (210 / 25.4) * 72, height: (297 / 25.4) * 72 },
  Letter: { width: 8.5 * 72, height: 11 * 72 },
} as const;
export type Paper = keyof typeof papers;

export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

export interface PdfPage {
  width: number;
  height: number;
  /** rectangles that are filled or drawn, and where texts begin; points from the top left corner */
  rectangles: Box[];
  texts: { x: number; y: number }[];
}

type Matrix = [number, number, number, number, number, number];

/** What the browser wrote into a PDF: one entry for each page, with everything drawn on the first of them. */
export function readPdf(bytes: Buffer): { pages: number; first: PdfPage } {
  const text = bytes.toString("latin1");
  const pages = text.match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
  const media = /\/MediaBox\s*\[([^\]]*)\]/.exec(text);
  if (!media) throw new Error("the PDF names no paper");
  const [, , width, height] = media[1].trim().split(/\s+/).map(Number);
  const first: PdfPage = { width, height, rectangles: [], texts: [] };
  for (const match of text.matchAll(/stream\r?\n/g)) {
    const start = match.index + match[0].length;
    const end = text.indexOf("endstream", start);
    let content: string;
    try {
      content = inflateSync(bytes.subarray(start, end)).toString("latin1");
    } catch {
      continue;
    }
    // Fonts are streams as well; only page contents begin with a transformation.
    if (/^[-.\d\s]+cm\b/.test(content)) collect(content, first);
  }
  return { pages, first };
}

/** Follows the transformations of a content stream and collects rectangles and text positions. */
function collect(content: string, page: PdfPage): void {
  let matrix: Matrix = [1, 0, 0, 1, 0, 0];
  let textMatrix: Matrix = [1, 0, 0, 1, 0, 0];
  const stack: Matrix[] = [];
  const numbers: number[] = [];
  let pending: Box[] = [];
  const at = (m: Matrix, x: number, y: number) => ({
    x: m[0] * x + m[2] * y + m[4],
    y: page.height - (m[1] * x + m[3] * y + m[5]),
  });
  for (const token of content.match(/<[^>]*>|\([^)]*\)|\/[^\s]+|[^\s]+/g) ?? []) {
    const value = Number(token);
    if (Number.isFinite(value) && /^[-+.\d]/.test(token)) {
      numbers.push(value);
      continue;
    }
    const [a, b, c, d, e, f] = numbers.slice(-6);
    if (token === "q") stack.push(matrix);
    else if (token === "Q") matrix = stack.pop() ?? matrix;
    else if (token === "cm") matrix = product([a, b, c, d, e, f], matrix);
    else if (token === "re") {
      const [x, y, width, height] = numbers.slice(-4);
      const [p, q] = [at(matrix, x, y), at(matrix, x + width, y + height)];
      pending.push({
        left: Math.min(p.x, q.x),
        right: Math.max(p.x, q.x),
        top: Math.min(p.y, q.y),
        bottom: Math.max(p.y, q.y),
      });
    } else if (["f", "f*", "S", "s", "B", "b"].includes(token)) {
      page.rectangles.push(...pending);
      pending = [];
    } else if (token === "n") pending = [];
    else if (token === "BT") textMatrix = [1, 0, 0, 1, 0, 0];
    else if (token === "Tm") textMatrix = [a, b, c, d, e, f];
    else if (token === "Td") {
      const [x, y] = numbers.slice(-2);
      textMatrix = product([1, 0, 0, 1, x, y], textMatrix);
    } else if (token === "Tj" || token === "TJ") {
      const whole = product(textMatrix, matrix);
      page.texts.push(at(whole, 0, 0));
    }
    if (!token.startsWith("<") && !token.startsWith("(") && !token.startsWith("/")) numbers.length = 0;
  }
}

/** Transformation by `first`, then by `then`. */
function product(first: Matrix, then: Matrix): Matrix {
  const [a, b, c, d, e, f] = first;
  const [A, B, C, D, E, F] = then;
  return [a * A + b * C, a * B + b * D, c * A + d * C, c * B + d * D, e * A + f * C + E, e * B + f * D + F];
}

/** What is wrong with a page laid out for paper: things cut off, sticking out, or on top of each other. */
export async function layoutFaults(page: Page, selector = ".page"): Promise<string[]> {
  return page.evaluate((selector) => {
    const faults: string[] = [];
    const sheet = document.querySelector(selector);
    if (!sheet) return ["there is no page"];
    const frame = sheet.getBoundingClientRect();
    const named = (element: Element) =>
      `${element.tagName.toLowerCase()} “${(element.textContent ?? "").trim().replace(/\s+/g, " ").slice(0, 40)}”`;
    const words: { box: DOMRect; name: string }[] = [];
    for (const element of sheet.querySelectorAll("*")) {
      const box = element.getBoundingClientRect();
      if (box.width === 0 && box.height === 0) continue;
      if (box.right > frame.right + 1 || box.left < frame.left - 1)
        faults.push(`${named(element)} sticks out sideways`);
      if (box.bottom > frame.bottom + 1 || box.top < frame.top - 1)
        faults.push(`${named(element)} sticks out of the page`);
      if (element instanceof HTMLElement && getComputedStyle(element).display !== "inline") {
        if (element.scrollWidth > element.clientWidth + 2 && element.clientWidth > 0)
          faults.push(`${named(element)} is wider than its place`);
      }
      for (const node of element.childNodes) {
        if (node.nodeType !== Node.TEXT_NODE || !node.textContent?.trim()) continue;
        const range = document.createRange();
        range.selectNodeContents(node);
        for (const line of range.getClientRects())
          if (line.width > 0) words.push({ box: line, name: named(element) });
      }
    }
    // Line boxes of neighbouring lines touch; letters do not, as long as less than a third of the height is shared.
    for (let i = 0; i < words.length; i++) {
      for (let j = i + 1; j < words.length; j++) {
        const [a, b] = [words[i].box, words[j].box];
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > 1 && down > Math.min(a.height, b.height) / 3)
          faults.push(`${words[i].name} and ${words[j].name} overlap`);
      }
    }
    return faults;
  }, selector);
}

/** Pixels to a point in the pictures of `inkOf`: a quarter of a point is a tenth of a millimetre on paper. */
const pixelsToPoint = 4;

/**
 * The ink of a PDF as a picture: where its first page is not white, in points from the top left. Every pixel that ink
 * touches counts as a whole, so each bound may lie outside the ink by up to `pixel` points, never inside it.
 */
export async function inkOf(pdf: Buffer): Promise<Box & { pixel: number }> {
  const document = await (await renderer()).loadDocument(pdf);
  try {
    const picture = await document.getPage(0).render({ scale: pixelsToPoint, colorSpace: "Gray" });
    const pixel = picture.originalWidth / picture.width;
    const { left, top, right, bottom } = boundsOfInk(picture);
    return { left: left * pixel, top: top * pixel, right: right * pixel, bottom: bottom * pixel, pixel };
  } finally {
    document.destroy();
  }
}

/** How many pages a PDF has. */
export async function pagesOf(pdf: Buffer): Promise<number> {
  const document = await (await renderer()).loadDocument(pdf);
  try {
    return document.getPageCount();
  } finally {
    document.destroy();
  }
}

/** PDFium as a package, so that every machine draws, and draws alike, whatever else is installed; loaded once. */
let library: Promise<PDFiumLibrary> | undefined;
const renderer = () => (library ??= PDFiumLibrary.init());

/** Bounds, in pixels, of everything darker than paper in a grey picture of one byte for each pixel. */
function boundsOfInk({ width, height, data }: { width: number; height: number; data: Uint8Array }): Box {
  if (data.length !== width * height) throw new Error("not a grey picture");
  const box: Box = { left: width, top: height, right: 0, bottom: 0 };
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (data[y * width + x] > 250) continue;
      box.left = Math.min(box.left, x);
      box.right = Math.max(box.right, x + 1);
      box.top = Math.min(box.top, y);
      box.bottom = Math.max(box.bottom, y + 1);
    }
  }
  return box;
}
