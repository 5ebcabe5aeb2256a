import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { demo } from "./demo.ts";
import { openPage } from "./harness.ts";
import { type Paper, papers, readPdf } from "./printedPage.ts";

/** Opens the demo and waits until every cell has its view. */
async function openToPrint(width: number) {
  const window = await openPage(demo, { width, height: 800 });
  const { page } = window;
  await expect.poll(() => page.locator("bole-cell[filled]").count()).toBe(17);
  await page.locator("bole-panels .figure").first().waitFor();
  return window;
}

/** What a print of the page shows: taken by the page itself, as the browser lays it out for paper. */
const onPaper = (page: Page) =>
  page.evaluate(() => {
    const seen: { tag: string; box: DOMRect; element: Element }[] = [];
    const look = (node: Node): void => {
      if (node instanceof Element) {
        // Without a box of its own what is in it may be seen all the same.
        const hasBox = getComputedStyle(node).display !== "contents";
        if (hasBox && !node.checkVisibility({ visibilityProperty: true })) return;
        seen.push({ tag: node.localName, box: node.getBoundingClientRect(), element: node });
        if (node.shadowRoot) for (const child of node.shadowRoot.childNodes) look(child);
      }
      for (const child of node.childNodes) look(child);
    };
    look(document.body);
    const of = (...tags: string[]) => seen.filter(({ tag }) => tags.includes(tag));
    const sized = of("bole-chart").filter(({ box }) => box.height > 0);
    return {
      charts: sized.length,
      drawn: sized.filter(({ element }) => element.shadowRoot!.querySelector(".picture > svg")).length,
      controls: of("button", "input", "select", "bole-slider", "bole-number", "bole-file", "bole-links")
        .filter(({ box }) => box.width > 0)
        .map(({ element }) => element.outerHTML.slice(0, 80)),
      supplies: of("bole-cell")
        .filter(({ element }) => element.hasAttribute("supply"))
        .map(({ box }) => box.height),
      titles: seen
        .filter(({ element }) => element.matches(".on-paper, h2#title"))
        .map(({ element, box }) => ({ text: element.textContent!, cut: element.scrollHeight - box.height })),
      fields: of("textarea").length,
      // What scrolls on the screen and would be cut on paper.
      scrolling: seen
        .filter(({ element }) => element.matches(".scroll"))
        .filter(
          ({ element }) =>
            element.scrollWidth > element.clientWidth + 1 ||
            getComputedStyle(element).overflow !== "visible" ||
            getComputedStyle(element).backgroundImage !== "none",
        )
        .map(({ element }) => element.outerHTML.slice(0, 80)),
      panels: of("bole-panels")[0].box.bottom,
      firstCell: of("bole-cell")[0].box.top,
      tooWide: seen
        .filter(({ box, tag }) => tag !== "body" && box.width > 0 && box.right > innerWidth + 1)
        .map(({ element }) => element.outerHTML.slice(0, 80)),
    };
  });

test.each([1280, 820, 390])(
  "the demo as opened at %i px prints on at most eight pages of either paper",
  async (width) => {
    const { page, problems } = await openToPrint(width);
    for (const format of Object.keys(papers) as Paper[]) {
      for (const printBackground of [true, false]) {
        const { pages } = readPdf(await page.pdf({ format, printBackground }));
        expect(pages, `${format}, backgrounds: ${printBackground}`).toBeLessThanOrEqual(8);
      }
    }
    expect(problems).toEqual([]);
  },
);

test("on paper every chart is drawn, nothing can be pressed, supplies take a line, panels stand at the head", async () => {
  const { page, problems } = await openToPrint(1280);
  // A4 less its margins of 12 mm: what the browser lays the page out for.
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width: Math.floor((186 / 25.4) * 96), height: 1000 });
  await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
  // Charts follow the width of the window in its next frame.
  await expect.poll(async () => (await onPaper(page)).tooWide).toEqual([]);
  const { charts, drawn, controls, supplies, panels, firstCell, titles, fields, scrolling } =
    await onPaper(page);
  expect(charts).toBeGreaterThanOrEqual(7);
  expect(drawn).toBe(charts);
  expect(controls).toEqual([]);
  // Viewing, two pigment sets, three parts and the coat plan, each a line of text with its rule.
  expect(supplies.length).toBe(7);
  for (const height of supplies) expect(height).toBeLessThan(32);
  expect(panels).toBeLessThanOrEqual(firstCell);
  // A field keeps the height of the screen, so titles are text.
  expect(fields).toBe(0);
  expect(titles.map(({ text }) => text)).toEqual(expect.arrayContaining(["The red", "Which blend?"]));
  expect(titles[0].text).toMatch(/^The Lantern Room: /);
  for (const { text, cut } of titles) expect(cut, text).toBeLessThan(1);
  expect(scrolling).toEqual([]);
  expect(problems).toEqual([]);
});

test("no picture is cut by the end of a page", async () => {
  const { page } = await openToPrint(1280);
  await page.emulateMedia({ media: "print" });
  const rules = await page.evaluate(() => {
    const found: string[] = [];
    const look = (root: Document | ShadowRoot): void => {
      for (const element of root.querySelectorAll("*")) {
        const isPicture =
          element.localName === "bole-swatch" ||
          (root instanceof ShadowRoot &&
            root.host.localName === "bole-chart" &&
            element.localName === "figure");
        if (isPicture || element.localName === "bole-panels")
          found.push(getComputedStyle(element).breakInside);
        if (element.shadowRoot) look(element.shadowRoot);
      }
    };
    look(document);
    return found;
  });
  expect(rules.length).toBeGreaterThan(10);
  expect(new Set(rules)).toEqual(new Set(["avoid"]));
});
