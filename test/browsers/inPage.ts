/** What is run in the page, by the source of each function: it uses nothing but its arguments. */

/** What a person calls it. */
export type Kind = "file" | "button" | "field" | "slider" | "choice" | "cell" | "link" | "dialog";

/** The first visible thing of a kind with a name; null when there is none now. */
export function seek(kind: Kind, text: string, flags: string | null, inside: unknown): unknown {
  const kinds = {
    button: "button, summary, [role=button]",
    field: "input:not([type=range], [type=radio], [type=checkbox]), textarea, select",
    slider: "input[type=range], [role=slider]",
    choice: "input[type=radio], input[type=checkbox]",
    cell: "bole-cell, bole-handed-cell",
    link: "a[href]",
    dialog: "dialog",
    file: "input[type=file]",
  };
  const tidy = (words: string | null | undefined) => (words ?? "").replace(/\s+/g, " ").trim();
  const nameOf = (element: HTMLElement): string => {
    if (kind === "cell") return tidy(element.shadowRoot?.querySelector("h2")?.textContent);
    const label = element.getAttribute("aria-label");
    if (label !== null) return tidy(label);
    const { labels } = element as HTMLInputElement;
    return tidy(labels?.length ? labels[0].textContent : element.textContent);
  };
  const fits =
    flags === null ? (name: string) => name === text : (name: string) => new RegExp(text, flags).test(name);
  const look = (root: ParentNode): Element | null => {
    for (const element of root.querySelectorAll<HTMLElement>("*")) {
      const isShown = kind === "file" || element.checkVisibility();
      if (element.matches(kinds[kind]) && isShown && fits(nameOf(element))) return element;
      const inner = element.shadowRoot && look(element.shadowRoot);
      if (inner) return inner;
    }
    return null;
  };
  const start = inside as Element | null;
  return (start?.shadowRoot && look(start.shadowRoot)) ?? look(start ?? document);
}

/** Text of an element, or of the page, and of every shadow tree inside it. */
export function textIn(inside: unknown): string {
  const read = (node: Node): string => {
    if (node instanceof HTMLStyleElement) return "";
    if (node.nodeType === Node.TEXT_NODE) return node.textContent ?? "";
    const inner = node instanceof Element && node.shadowRoot ? [...node.shadowRoot.childNodes] : [];
    return [...inner, ...node.childNodes].map(read).join(" ");
  };
  return read((inside as Node | null) ?? document.body).replace(/\s+/g, " ");
}

/** What sticks out of the right edge of its cell, where nothing scrolls or cuts it. */
export function stickingOut(): string[] {
  const found: string[] = [];
  const cells = document.querySelector("bole-workbench")!.shadowRoot!.querySelectorAll("bole-cell");
  for (const cell of cells) {
    const edge = cell.getBoundingClientRect().right + 1;
    const look = (root: ParentNode) => {
      for (const element of root.children) {
        const { width, right } = element.getBoundingClientRect();
        if (!element.checkVisibility() || getComputedStyle(element).overflowX !== "visible") continue;
        if (width > 0 && right > edge && getComputedStyle(element).position !== "absolute")
          found.push(
            `${cell.id}: ${element.localName}.${element.getAttribute("class")} by ${Math.round(right - edge)} px`,
          );
        if (element.shadowRoot) look(element.shadowRoot);
        look(element);
      }
    };
    look(cell.shadowRoot!);
  }
  return found;
}

/** Keeps what goes wrong from now on. */
export function watchFaults(): void {
  const faults: string[] = [];
  Object.assign(window, { faults });
  addEventListener("error", ({ message }) => {
    // A size that changes because of another one is told in the next frame: nothing is lost by it.
    if (!message.startsWith("ResizeObserver loop")) faults.push(message);
  });
  addEventListener("unhandledrejection", ({ reason }) => faults.push(String(reason)));
  document.addEventListener("securitypolicyviolation", ({ violatedDirective, blockedURI }) =>
    faults.push(`${violatedDirective} ${blockedURI}`),
  );
}

/**
 * Moves a slider step by step, each in a frame of its own as browsers hand on a drag; of each step the ms until the frame
 * that shows it has been handed over, from the shortest to the longest.
 */
export async function timesOfAnswers(slider: unknown, steps: number): Promise<number[]> {
  const input = slider as HTMLInputElement;
  const frame = new MessageChannel();
  const handedOver = () =>
    new Promise((done) => {
      frame.port1.onmessage = done;
      requestAnimationFrame(() => frame.port2.postMessage(0));
    });
  const times: number[] = [];
  for (let step = 0; step < steps; step++) {
    const began = performance.now();
    input.value = String(0.5 + 0.4 * Math.sin(step / 11));
    input.dispatchEvent(new Event("input", { bubbles: true, composed: true }));
    await handedOver();
    times.push(performance.now() - began);
  }
  input.dispatchEvent(new Event("change", { bubbles: true, composed: true }));
  return times.sort((p, q) => p - q);
}

/** Presses the button of an action that takes long; ms until its cell offers no more to stop it. */
export async function timeOfAction(cell: unknown, button: unknown): Promise<number> {
  const isUnderWay = () =>
    [...(cell as Element).shadowRoot!.querySelectorAll("button")].some(
      ({ textContent }) => textContent?.trim() === "Stop",
    );
  const began = performance.now();
  const frame = async (what: string) => {
    await new Promise(requestAnimationFrame);
    if (performance.now() - began > 20_000) throw new Error(`the action has not ${what} within 20 s`);
  };
  (button as HTMLElement).click();
  while (!isUnderWay()) await frame("begun");
  while (isUnderWay()) await frame("ended");
  return performance.now() - began;
}

/** What has the focus, through every shadow tree: its name, and how much of it can be seen, 0…1. */
export function focused(): { name: string; inSight: number; tag: string } {
  let element = document.activeElement;
  while (element?.shadowRoot?.activeElement) element = element.shadowRoot.activeElement;
  if (!element || element === document.body) return { name: "", inSight: 0, tag: "" };
  const { left, top, right, bottom } = element.getBoundingClientRect();
  const inFront = (x: number, y: number): Element | null => {
    let front = document.elementFromPoint(x, y);
    for (let inner = front?.shadowRoot?.elementFromPoint(x, y); inner && inner !== front; ) {
      front = inner;
      inner = front.shadowRoot?.elementFromPoint(x, y);
    }
    return front;
  };
  const isPartOfIt = (node: Node | null): boolean =>
    node !== null && (node === element || isPartOfIt(node.parentNode ?? (node as ShadowRoot).host ?? null));
  // At a few places down its middle.
  const places = [0.1, 0.3, 0.5, 0.7, 0.9];
  const seen = places.filter((share) =>
    isPartOfIt(inFront((left + right) / 2, top + share * (bottom - top))),
  );
  const name = element.getAttribute("aria-label") ?? (element as HTMLInputElement).labels?.[0]?.textContent;
  return {
    name: (name ?? element.textContent ?? "").replace(/\s+/g, " ").trim(),
    inSight: seen.length / places.length,
    tag: element.tagName.toLowerCase(),
  };
}
