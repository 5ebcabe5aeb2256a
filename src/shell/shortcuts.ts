import type { ReactiveController } from "lit";
import { ask } from "../controls/emit.ts";

/** What a key combination does in the workbench. */
type Shortcut = "help" | "next" | "previous" | "moveDown" | "moveUp";

/**
 * The shortcut that a key event asks for. Every one has a modifier or is a function key, so that none gets in the way of
 * typing or of speech input.
 */
export function shortcutOf({
  key,
  altKey,
  shiftKey,
  ctrlKey,
  metaKey,
}: Pick<KeyboardEvent, "key" | "altKey" | "shiftKey" | "ctrlKey" | "metaKey">): Shortcut | undefined {
  if (ctrlKey || metaKey) return undefined;
  if (key === "F1") return "help";
  if (!altKey) return undefined;
  if (key === "ArrowDown") return shiftKey ? "moveDown" : "next";
  if (key === "ArrowUp") return shiftKey ? "moveUp" : "previous";
  return undefined;
}

/**
 * Listens for the shortcuts of the workbench, an element that shows cells as `bole-cell` with ids `cell-…` in its shadow tree. Moving between cells asks by the event `bole-go`; the rest is handed on.
 */
export class ShortcutKeys implements ReactiveController {
  readonly #host: HTMLElement;
  readonly #run: { help(): void; move(id: string, by: number): void };

  constructor(host: HTMLElement, run: { help(): void; move(id: string, by: number): void }) {
    this.#host = host;
    this.#run = run;
  }

  hostConnected(): void {
    addEventListener("keydown", this.#pressed);
  }

  hostDisconnected(): void {
    removeEventListener("keydown", this.#pressed);
  }

  readonly #pressed = (event: KeyboardEvent): void => {
    const shortcut = shortcutOf(event);
    // Alt with an arrow opens a list: leave that to the list.
    if (!shortcut || (shortcut !== "help" && event.composedPath()[0] instanceof HTMLSelectElement)) return;
    if (shortcut === "help") {
      event.preventDefault();
      this.#run.help();
      return;
    }
    const cells = [...(this.#host.shadowRoot?.querySelectorAll<HTMLElement>("bole-cell") ?? [])];
    if (cells.length === 0) return;
    event.preventDefault();
    const active = this.#host.shadowRoot?.activeElement?.closest<HTMLElement>("bole-cell") ?? undefined;
    const idOf = (cell: HTMLElement) => cell.id.replace(/^cell-/, "");
    if (shortcut === "moveDown" || shortcut === "moveUp") {
      if (!active) return;
      this.#run.move(idOf(active), shortcut === "moveDown" ? 1 : -1);
      ask(this.#host, "bole-go", { id: idOf(active) });
      return;
    }
    const at = active ? cells.indexOf(active) : firstInView(cells) - (shortcut === "next" ? 1 : 0);
    const to = cells[at + (shortcut === "next" ? 1 : -1)];
    if (to) ask(this.#host, "bole-go", { id: idOf(to) });
  };
}

function firstInView(cells: readonly HTMLElement[]): number {
  const index = cells.findIndex((cell) => cell.getBoundingClientRect().bottom > innerHeight / 3);
  return index < 0 ? cells.length - 1 : index;
}
