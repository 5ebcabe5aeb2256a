import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { example, openSaved, ownFolder, savePage } from "../savedPage.ts";
import { closeBrowser, launchBrowser } from "../workbenchPage.ts";
import { slowness } from "./yardstick.ts";

let browser: Browser;
let folder: string;
let remove: () => Promise<void>;

beforeAll(async () => {
  browser = await launchBrowser();
  ({ folder, remove } = await ownFolder());
});
afterAll(async () => {
  if (browser) await closeBrowser(browser);
  await remove?.();
});

test.each([
  ["the-lantern-room", "everything is seen", []],
  ["the-lantern-room", "a cell that computes comes first", ["--show", "cover,ratio"]],
  ["lesson-1-why-red-disappears", "everything is seen", []],
  ["from-colour-to-job", "everything is seen", []],
] as const)(
  "%s, saved as a page in which %s: the first cell lives within 500 ms",
  async (name, _, options) => {
    const path = await savePage(folder, example(name), ...options);
    const times: number[] = [];
    let machine = 1;
    for (let turn = 0; turn < 3; turn++) {
      const { page } = await openSaved(browser, path);
      await page.waitForFunction(() => performance.getEntriesByName("bole-first-cell").length > 0);
      times.push(await page.evaluate(() => performance.getEntriesByName("bole-first-cell")[0].startTime));
      machine = Math.max(machine, await slowness(page));
    }
    expect(Math.min(...times)).toBeLessThan(500 * machine);
  },
);
