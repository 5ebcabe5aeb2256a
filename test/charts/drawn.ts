import * as Plot from "@observablehq/plot";
import type { ChartOptions } from "../../src/charts/chartTypes.ts";

/** An element of a drawn chart: what Plot asks of a page, and no more, so that a picture is the same on every machine. */
export class Drawn {
  readonly attributes = new Map<string, string>();
  readonly children: (Drawn | string)[] = [];
  readonly style: Record<string, string> = {};
  parent?: Drawn;
  readonly namespaceURI = "http://www.w3.org/2000/svg";

  constructor(
    readonly name: string,
    readonly ownerDocument: unknown,
  ) {}

  setAttribute(name: string, value: unknown): void {
    this.attributes.set(name, String(value));
  }
  removeAttribute(name: string): void {
    this.attributes.delete(name);
  }
  hasAttribute(name: string): boolean {
    return this.attributes.has(name);
  }
  getAttribute(name: string): string | null {
    return this.attributes.get(name) ?? null;
  }
  append(...children: (Drawn | string)[]): void {
    for (const child of children) if (typeof child !== "string") child.parent = this;
    this.children.push(...children);
  }
  appendChild(child: Drawn): Drawn {
    this.append(child);
    return child;
  }
  /** d3 adds elements in order, each before none. */
  insertBefore(child: Drawn): Drawn {
    return this.appendChild(child);
  }
  get textContent(): string {
    return this.children.map((child) => (typeof child === "string" ? child : child.textContent)).join("");
  }
  set textContent(text: string) {
    this.children.splice(0, this.children.length, text);
  }

  /** A number among the attributes. */
  at(name: string): number {
    return Number(this.attributes.get(name));
  }
  /** Every element with this name inside, in order. */
  all(name: string): Drawn[] {
    return this.children.flatMap((child) =>
      typeof child === "string" ? [] : child.name === name ? [child, ...child.all(name)] : child.all(name),
    );
  }
  /** The groups that Plot makes for a kind of mark. */
  marks(label: string): Drawn[] {
    return this.all("g").filter((group) => group.attributes.get("aria-label") === label);
  }
}

/** What a chart draws, with its scales. */
export type DrawnChart = Drawn & Pick<ReturnType<typeof Plot.plot>, "scale">;

/** Draws a chart without a page. */
export function draw(options: ChartOptions): DrawnChart {
  const document: Record<string, unknown> = {
    createElementNS: (_: string, name: string) => new Drawn(name, document),
    createTextNode: (text: string) => text,
  };
  document.documentElement = new Drawn("html", document);
  const drawn = Plot.plot({
    ...options,
    className: "chart",
    document: document as unknown as Document,
  }) as unknown as DrawnChart;
  drawn.children.splice(
    0,
    drawn.children.length,
    ...drawn.children.filter((child) => typeof child === "string" || child.name !== "style"),
  );
  return drawn;
}

/** All words of a chart: in the picture, where they stand (px), and in its key. */
export function wordsOf(options: ChartOptions): string[] {
  return [
    ...draw(options)
      .all("text")
      .map((text) => text.textContent),
    ...(options.key ?? []).map(({ label }) => label),
  ];
}

/** Where a text has been moved to, by itself and with its group, px. */
export function placeOf({ attributes, parent }: Drawn): { x: number; y: number } {
  const [, x, y] = /translate\(([^,)]*),([^)]*)\)/.exec(attributes.get("transform") ?? "") ?? [0, 0, 0];
  const base = parent ? placeOf(parent) : { x: 0, y: 0 };
  return { x: Number(x) + base.x, y: Number(y) + base.y };
}

/** The corners of a path, px. */
export function pathOf(element: Drawn): { x: number; y: number }[] {
  return [...element.attributes.get("d")!.matchAll(/(-?[\d.]+),(-?[\d.]+)/g)].map(([, x, y]) => ({
    x: Number(x),
    y: Number(y),
  }));
}

const escaped = (text: string) => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

/** `fontSize` as a style sheet spells it. */
const hyphened = (name: string) => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
/** Numbers to a tenth of a px, and without the count of pictures drawn before that goes into Plot's own names. */
const plain = (value: string) =>
  value.replace(/plot-clip-\d+/g, "plot-clip").replace(/-?\d+\.\d+/g, (n) => `${+(+n).toFixed(1)}`);

/** The picture as text that differs only where the drawing does, an element a line, with its title and its key. */
export function pictureText(root: Drawn, title: string, key: ChartOptions["key"] = []): string {
  const write = (element: Drawn, depth: number): string => {
    const style = Object.entries(element.style).map(([name, value]) => `${hyphened(name)}:${value}`);
    const attributes = [...element.attributes, ...(style.length > 0 ? [["style", style.join(";")]] : [])]
      .filter(([name]) => name !== "class")
      .map(([name, value]) => ` ${name}="${escaped(plain(value))}"`)
      .join("");
    const inside = element.children
      .map((child) => (typeof child === "string" ? escaped(child) : `\n${write(child, depth + 1)}`))
      .join("");
    const indent = " ".repeat(depth);
    const end = inside.includes("\n") ? `\n${indent}` : "";
    return `${indent}<${element.name}${attributes}>${inside}${end}</${element.name}>`;
  };
  const words = (name: string, text: string) => {
    const element = new Drawn(name, root.ownerDocument);
    element.append(text);
    return element;
  };
  root.setAttribute("xmlns", root.namespaceURI);
  root.children.unshift(
    words("title", title),
    ...key.map((entry) => words("desc", JSON.stringify(entry).replaceAll('"', "'"))),
  );
  return `${write(root, 0)}\n`;
}
