import type { BoleKeep } from "./boleKeep.ts";
import "./boleKeep.ts";

/** A picture, verdict, row of panels or control of a cell's view that can be kept in sight. */
interface Piece {
  readonly element: HTMLElement;
  /** Name that stays the same as long as the view is of one kind. */
  readonly name: string;
  readonly label: string;
}

const fields = "bole-slider, bole-number, bole-choice, bole-toggle, bole-text";
const everything = `.verdict, .panels, .sections, bole-chart, ${fields}`;

/** Every piece in a view. A `piece` attribute names one whose place among its like may change. */
function piecesIn(root: ParentNode): Piece[] {
  const counted = new Map<string, number>();
  return [...root.querySelectorAll<HTMLElement>(everything)].map((element) => {
    const label = labelOf(element);
    const given = element.getAttribute("piece");
    if (given) return { element, label, name: given };
    const like = element.matches(fields) ? slug(label) : likeOf(element);
    const count = (counted.get(like) ?? 0) + 1;
    counted.set(like, count);
    return { element, label, name: count > 1 ? `${like}-${count}` : like };
  });
}

function labelOf(element: HTMLElement): string {
  if (element.classList.contains("verdict")) return "verdict";
  if (element.classList.contains("panels")) return "panels";
  return (element as unknown as { label?: string }).label || "picture";
}

function likeOf(element: HTMLElement): string {
  return element.localName === "bole-chart" ? "chart" : (element.classList.item(0) ?? element.localName);
}

function slug(text: string): string {
  const words = text.toLowerCase().replace(/[^a-z0-9]+/g, "-");
  return `set-${words.replace(/^-|-$/g, "").slice(0, 48)}`;
}

const buttons = new WeakMap<Element, BoleKeep>();

/**
 * Give every piece its press.
 * @param kept names of the pieces that are kept
 * @param keep asked for when one is pressed
 */
export function dressPieces(root: ParentNode, kept: ReadonlySet<string>, keep: (name: string) => void): void {
  for (const { element, name, label } of piecesIn(root)) {
    let button = buttons.get(element);
    if (!button) {
      const made = document.createElement("bole-keep");
      made.addEventListener("click", () => keep(made.dataset.piece!));
      made.quiet = element.matches(fields) && element.localName !== "bole-slider";
      element.style.position = "relative";
      buttons.set(element, made);
      button = made;
    }
    button.dataset.piece = name;
    button.label = label;
    button.kept = kept.has(name);
    // Controls and charts keep it in their own tree, after what they draw themselves.
    const home = element.shadowRoot ?? element;
    if (button.parentNode !== home) home.append(button);
  }
}

/** Name of the piece that an element belongs to, for a key that keeps what has the focus. */
export function pieceOf(element: Element): string | undefined {
  for (let at: Element | null = element; at; at = at.parentElement) {
    const button = buttons.get(at);
    if (button) return button.dataset.piece;
  }
  return undefined;
}

/**
 * Show one piece of a view and nothing else; a chart takes the height that is there, px.
 * @returns what it is called; undefined where there is no such piece now
 */
export function showOnly(root: ShadowRoot, only: string, height: number): string | undefined {
  const piece = piecesIn(root).find(({ name }) => name === only);
  if (!piece) return undefined;
  const wanted = piece.element;
  if (wanted.matches(fields)) (wanted as unknown as { hint: string }).hint = "";
  if (wanted.localName === "bole-chart") (wanted as unknown as { fit: number }).fit = height;
  for (let at: HTMLElement = wanted; ; ) {
    if (at instanceof HTMLDetailsElement) at.open = true;
    at.removeAttribute("data-aside");
    const parent: ParentNode | null = at.parentNode;
    for (const other of parent?.children ?? []) if (other !== at) other.setAttribute("data-aside", "");
    if (parent === root || !(parent instanceof HTMLElement)) return piece.label;
    parent.setAttribute("data-way", "");
    at = parent;
  }
}
