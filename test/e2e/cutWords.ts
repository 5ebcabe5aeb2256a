import type { Page } from "playwright-core";

/** Words on the page that are cut off: by their own box, by one around them, or by the edge of the window. */
export const cutWords = (page: Page): Promise<string[]> =>
  page.evaluate(() => {
    const named =
      "label, .label, legend, figcaption, .name, .figure, .words, .kind, .title, summary, th, dt, dd, button, .key li, h2, h3, .told";
    const cut: string[] = [];
    const boxOf = (element: Element) => element.getBoundingClientRect();
    const around = (element: Element): Element | null =>
      element.assignedSlot ?? element.parentElement ?? ((element.getRootNode() as ShadowRoot).host || null);
    /** How far the words are from being seen whole, px, and by what. */
    const missing = (element: HTMLElement): boolean => {
      const words = document.createRange();
      words.selectNodeContents(element);
      const box = element instanceof HTMLTextAreaElement ? boxOf(element) : words.getBoundingClientRect();
      if (box.width === 0 || box.height === 0) return false;
      if (element instanceof HTMLTextAreaElement && element.scrollHeight > element.clientHeight + 2)
        return true;
      for (let at: Element | null = element; at; at = around(at)) {
        const style = getComputedStyle(at);
        // For the ears alone, or hidden until something else is there.
        if (style.clipPath !== "none" || style.visibility === "hidden" || style.opacity === "0") return false;
        if (style.overflowX === "auto" || style.overflowX === "scroll") return false; // it can be scrolled to
        if (at === element || style.overflowX === "visible") continue;
        const room = boxOf(at);
        if (box.left < room.left - 1.5 || box.right > room.right + 1.5) return true;
      }
      return box.right > innerWidth + 1 || box.left < -1;
    };
    const look = (root: ParentNode) => {
      for (const element of root.querySelectorAll("*")) {
        if (element.shadowRoot) look(element.shadowRoot);
        if (element instanceof HTMLElement && element.matches(named) && missing(element))
          cut.push(`${element.localName}.${element.className}: ${element.textContent?.trim().slice(0, 60)}`);
      }
    };
    look(document);
    return [...new Set(cut)];
  });
