import type { Page } from "playwright-core";

/**
 * Open cells, but for notes, whose lines keep the length that is read with ease, of which an empty rectangle takes more than a share, each with the rectangle, px. Filled is where words,
 * controls, pictures and colours stand, on a grid of 12 px.
 */
export const emptyRoom = (page: Page, most: number): Promise<string[]> =>
  page.evaluate(async (share) => {
    const side = 12;
    const found: string[] = [];
    const nextFrames = async () => {
      for (let k = 0; k < 12; k++) await new Promise(requestAnimationFrame);
    };
    const boxesIn = (root: ShadowRoot): DOMRect[] =>
      [...root.querySelectorAll("*")].flatMap((element): DOMRect[] => {
        const { visibility, display } = getComputedStyle(element);
        if (visibility === "hidden" || display === "none") return [];
        const isFilled =
          element.matches("svg, canvas, input, select, button, textarea, img, hr, .half") ||
          (element.localName === "div" &&
            element.childElementCount === 0 &&
            getComputedStyle(element).backgroundColor !== "rgba(0, 0, 0, 0)");
        const words = [...element.childNodes].flatMap((node) => {
          if (node.nodeType !== Node.TEXT_NODE || !node.textContent?.trim()) return [];
          const range = document.createRange();
          range.selectNodeContents(node);
          return [...range.getClientRects()];
        });
        const inner = element.shadowRoot ? boxesIn(element.shadowRoot) : [];
        return [...inner, ...words, ...(isFilled ? [element.getBoundingClientRect()] : [])];
      });
    const cells = document.querySelector("bole-workbench")!.shadowRoot!.querySelectorAll("bole-cell");
    for (const cell of cells) {
      const { kind, title } = (cell as unknown as { cell: { kind: string; title: string } }).cell;
      if (kind === "note" || cell.hasAttribute("folded")) continue;
      cell.scrollIntoView({ block: "start", behavior: "instant" });
      await nextFrames();
      const { left, top, width, height } = cell.getBoundingClientRect();
      const [columns, rows] = [Math.floor(width / side), Math.floor(height / side)];
      const filled = new Uint8Array(columns * rows);
      for (const box of boxesIn(cell.shadowRoot!)) {
        const to = { x: Math.ceil((box.right - left) / side), y: Math.ceil((box.bottom - top) / side) };
        for (let y = Math.max(0, Math.floor((box.top - top) / side)); y < Math.min(rows, to.y); y++)
          for (let x = Math.max(0, Math.floor((box.left - left) / side)); x < Math.min(columns, to.x); x++)
            filled[y * columns + x] = 1;
      }
      let largest = { area: 0, words: "" };
      const depth = new Int32Array(columns);
      for (let y = 0; y < rows; y++) {
        for (let x = 0; x < columns; x++) depth[x] = filled[y * columns + x] ? 0 : depth[x] + 1;
        for (let x = 0; x < columns; x++) {
          for (
            let from = x, least = depth[x];
            from >= 0 && least > 0;
            least = Math.min(least, depth[--from] ?? 0)
          ) {
            const area = least * (x - from + 1);
            if (area <= largest.area) continue;
            const [w, h] = [(x - from + 1) * side, least * side];
            largest = { area, words: `${w} × ${h} at ${from * side}, ${(y - least + 1) * side}` };
          }
        }
      }
      const part = largest.area / (columns * rows);
      if (part > share) found.push(`${title}: ${Math.round(100 * part)} % empty, ${largest.words}`);
    }
    return found;
  }, most);
