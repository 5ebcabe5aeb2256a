import type { Page } from "playwright-core";
import { expect } from "vitest";
import { examples } from "./examples.ts";
import { openPage } from "./harness.ts";

export const lessons = examples.filter((name) => name.startsWith("lesson-"));

export const stateWords = (page: Page) =>
  page.locator("bole-cell :is(header, .line) > .state").allInnerTexts();

/** Wait until every cell has its outcome and its view. */
export async function computed(page: Page): Promise<void> {
  await page.locator("bole-cell").first().waitFor();
  await expect
    .poll(async () => (await stateWords(page)).filter((words) => /computing/.test(words)), {
      timeout: 30_000,
    })
    .toEqual([]);
  await expect
    .poll(() =>
      page.evaluate(() =>
        [...document.querySelector("bole-workbench")!.shadowRoot!.querySelectorAll("bole-cell")].every(
          (cell) =>
            cell.hasAttribute("folded") ||
            (cell.shadowRoot?.querySelector(".body")?.childElementCount ?? 0) > 0,
        ),
      ),
    )
    .toBe(true);
}

/** Open a copy of a lesson, so that tests do not disturb one another. */
export async function openLesson(name: string, options: Parameters<typeof openPage>[1] = {}) {
  const window = await openPage(`/?notebook=${name}`, options);
  const { page } = window;
  await computed(page);
  await page.getByRole("button", { name: "Notebooks" }).click();
  await page.getByRole("button", { name: "Copy this notebook" }).click();
  await expect.poll(() => page.url()).not.toMatch(new RegExp(`${name}$`));
  await computed(page);
  return window;
}

/** Shows the answers of a lesson in order, each as soon as it can be asked. */
export async function showAll(page: Page): Promise<void> {
  const skip = page.getByRole("button", { name: "Show it without a guess" });
  const shown = page.locator("bole-cell .verdict[role=status]");
  while ((await skip.count()) > 0) {
    const before = await shown.count();
    await skip.first().click();
    await expect.poll(() => shown.count()).toBeGreaterThan(before);
  }
  await computed(page);
}
