import type { Locator, Page } from "playwright-core";
import { expect } from "vitest";
import { openPage } from "./harness.ts";

export const demo = "/?notebook=the-lantern-room";

/** The frame of the cell with this title. */
export const cellNamed = (page: Page, title: string): Locator =>
  page.locator("bole-cell", { has: page.getByRole("heading", { name: title, exact: true }) });

/** The same, unfolded from its one line. */
export async function unfolded(page: Page, title: string): Promise<Locator> {
  await page.getByRole("button", { name: `Unfold ${title}`, exact: true }).click();
  return cellNamed(page, title);
}

/** Text of an element and of every shadow tree inside it. */
export const textOf = (locator: Locator): Promise<string> =>
  locator.first().evaluate((start) => {
    const read = (node: Node): string => {
      if (node instanceof HTMLStyleElement) return "";
      if (node.nodeType === Node.TEXT_NODE) return node.textContent ?? "";
      const inner = node instanceof Element && node.shadowRoot ? [...node.shadowRoot.childNodes] : [];
      return [...inner, ...node.childNodes].map(read).join(" ");
    };
    return read(start).replace(/\s+/g, " ");
  });

/** Differences written under the panels that stay in sight. */
export const panelFigures = (page: Page): Promise<string[]> =>
  page.locator("bole-panels .figure").allInnerTexts();

/** The same of the parts with their basecoat: after the target each part stands with it and then without. */
export const paintedFigures = async (page: Page): Promise<string[]> =>
  (await panelFigures(page)).slice(1).filter((_, at) => at % 2 === 0);

/** Wait until the demo is computed and drawn. */
export async function opened(page: Page): Promise<void> {
  await page.locator("bole-panels .figure").first().waitFor();
  await cellNamed(page, "Which blend?").locator("bole-chart").first().waitFor();
}

/** Open a copy of the demo under its own name, so that tests do not disturb one another. */
export async function openDemo(options: Parameters<typeof openPage>[1] = {}) {
  const window = await openPage(demo, options);
  const { page } = window;
  await opened(page);
  await page.getByRole("button", { name: "Notebooks" }).click();
  await page.getByRole("button", { name: "Copy this notebook" }).click();
  await expect.poll(() => page.url()).not.toMatch(/the-lantern-room$/);
  // Until the copy is on screen, the original is.
  await expect.poll(() => page.getByLabel("Title of the notebook").inputValue()).toContain("(copy)");
  await opened(page);
  return window;
}
