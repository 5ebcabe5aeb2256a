import type { ReactiveController, ReactiveControllerHost } from "lit";

/** What a key combination asks for. */
export function undoKeyOf({
  key,
  ctrlKey,
  metaKey,
  altKey,
  shiftKey,
}: Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey" | "shiftKey">): "undo" | "redo" | undefined {
  if (!(ctrlKey || metaKey) || altKey) return undefined;
  if (key.toLowerCase() === "z") return shiftKey ? "redo" : "undo";
  return key.toLowerCase() === "y" && ctrlKey && !shiftKey ? "redo" : undefined;
}

/**
 * Ctrl+Z and Ctrl+Shift+Z (with ⌘ as well, and Ctrl+Y) for the whole notebook. While there is text in a box that was
 * typed and not taken yet, the keys belong to that box.
 */
export class UndoKeys implements ReactiveController {
  readonly #run: { undo(): void; redo(): void };
  #typedIn: EventTarget | undefined;

  constructor(host: ReactiveControllerHost, run: { undo(): void; redo(): void }) {
    this.#run = run;
    host.addController(this);
  }

  hostConnected(): void {
    addEventListener("keydown", this.#pressed);
    addEventListener("input", this.#typed, { capture: true });
    addEventListener("focusout", this.#taken, { capture: true });
  }

  hostDisconnected(): void {
    removeEventListener("keydown", this.#pressed);
    removeEventListener("input", this.#typed, { capture: true });
    removeEventListener("focusout", this.#taken, { capture: true });
  }

  /** What was typed has become part of the notebook. */
  readonly taken = (): void => {
    this.#typedIn = undefined;
  };

  readonly #taken = this.taken;

  readonly #typed = (event: Event): void => {
    const [box] = event.composedPath();
    if (isTextBox(box)) this.#typedIn = box;
  };

  readonly #pressed = (event: KeyboardEvent): void => {
    const wish = undoKeyOf(event);
    if (!wish || event.defaultPrevented || event.composedPath()[0] === this.#typedIn) return;
    event.preventDefault();
    this.#run[wish]();
  };
}

function isTextBox(element: EventTarget | undefined): boolean {
  if (element instanceof HTMLTextAreaElement) return true;
  return (
    element instanceof HTMLInputElement &&
    !["range", "checkbox", "radio", "button", "file", "color"].includes(element.type)
  );
}
