import type { Locator, Page } from "playwright-core";
import { expect } from "vitest";
import { cellNamed, panelFigures } from "./demo.ts";
import { atRest } from "./harness.ts";

// common practice: a desk, a laptop, a tablet held upright, a phone
export const sizes = [
  { width: 1440, height: 900 },
  { width: 1180, height: 820 },
  { width: 820, height: 1180 },
  { width: 390, height: 844, hasTouch: true },
];

export const kept = (page: Page, piece: RegExp): Locator =>
  page.locator("bole-kept-piece").filter({ has: page.getByRole("button", { name: piece }) });

/** Whether the whole of an element can be seen: within the window and within everything that scrolls around it. */
export const isWholly = (element: Locator): Promise<boolean> =>
  element.evaluate((found) => {
    const box = found.getBoundingClientRect();
    let [top, left, bottom, right] = [0, 0, innerHeight, innerWidth];
    for (let at: Node | null = found; at; at = at.parentNode ?? (at as ShadowRoot).host ?? null) {
      if (!(at instanceof Element) || at === found || getComputedStyle(at).overflowY === "visible") continue;
      if (at === document.documentElement || at === document.body) continue;
      const around = at.getBoundingClientRect();
      top = Math.max(top, around.top);
      left = Math.max(left, around.left);
      bottom = Math.min(bottom, around.bottom);
      right = Math.min(right, around.right);
    }
    // Half a pixel of a line that ends on the edge is not missed.
    return box.top > top - 1 && box.left > left - 1 && box.bottom < bottom + 1 && box.right < right + 1;
  });

const barShare = (page: Page) =>
  page.evaluate(() => {
    const root = document.querySelector("bole-workbench")!.shadowRoot!;
    const bar = root.querySelector(".bar")!.getBoundingClientRect().height;
    const top = root.querySelector(".top")!.getBoundingClientRect().height;
    return Math.max(bar, top) / innerHeight;
  });

/** With the ratio under hand or finger, panels, difference and curves are in the window, and follow it. */
export async function causeAndEffect(
  page: Page,
  ground: string,
  size: (typeof sizes)[number],
): Promise<void> {
  const cell = cellNamed(page, ground);
  const curve = kept(page, /against the basecoat ratio/).locator("bole-chart .picture svg");
  await curve.waitFor();
  const slider =
    size.width < 600
      ? cell.getByLabel(/^Share of the second paint/).first()
      : page
          .locator("bole-kept-piece")
          .getByLabel(/^Share of the second paint/)
          .first();
  if (size.width < 600) {
    await cell.evaluate((found) => found.scrollIntoView({ block: "start", behavior: "instant" }));
    await atRest(page);
  }
  expect(await isWholly(slider), "slider").toBe(true);
  expect(await isWholly(curve), "difference").toBe(true);
  if (size.width >= 600) {
    const reflectance = kept(page, /^Reflectance on/).locator("bole-chart .picture svg");
    await reflectance.waitFor();
    expect(await isWholly(reflectance), "reflectance").toBe(true);
  }
  // Below 1,100 px the target and the worst part with and without basecoat, the others by scrolling sideways.
  const panels = page.locator("bole-panels li");
  const count = size.width >= 1100 ? await panels.count() : 3;
  for (let at = 0; at < count; at++) expect(await isWholly(panels.nth(at)), `panel ${at}`).toBe(true);
  // common practice: bars leave five sixths of the height to the work, on a phone four fifths
  expect(await barShare(page)).toBeLessThan(size.width < 600 ? 0.2 : 0.16);

  const before = [await panelFigures(page), await curve.innerHTML()];
  await slider.focus();
  await page.keyboard.press("PageUp");
  await expect.poll(() => panelFigures(page)).not.toEqual(before[0]);
  await expect.poll(() => curve.innerHTML()).not.toBe(before[1]);
}
