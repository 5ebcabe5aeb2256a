import type { Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { thorough } from "../howMuch.ts";
import { examples } from "./examples.ts";
import { accessibilityFaults, openPage } from "./harness.ts";
import { computed, lessons, openLesson, showAll, stateWords } from "./lessonPage.ts";

/** Parts that stick out of the window to the side, each with its text. */
const stickingOut = (page: Page) =>
  page.evaluate(() => {
    const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    return wide > 0 ? [`the page is ${wide} px too wide`] : [];
  });

/** Axe takes seconds a look: unless all is tried, examples take the two extremes by turns. */
const axeLooks = (at: number) => (thorough ? undefined : [["light 1280", "dark 390"][at % 2]]);

describe.each(examples.map((name, at) => [name, at] as const))("the example %s", (name, at) => {
  // One window for all looks: opening and computing the notebook anew for each would take most of the time.
  test("at three widths, in both themes: axe finds nothing, and nothing sticks out", async () => {
    const { page, problems } = await openPage(`/?notebook=${name}`, { width: 1280, height: 900 });
    await computed(page);
    for (const width of [1280, 820, 390]) {
      await page.setViewportSize({ width, height: 900 });
      for (const colorScheme of ["light", "dark"] as const) {
        await page.emulateMedia({ colorScheme });
        await computed(page);
        if (axeLooks(at)?.includes(`${colorScheme} ${width}`) ?? true) {
          expect(await accessibilityFaults(page), `${colorScheme}, ${width} px`).toEqual([]);
        }
        // A window that has just been made narrower is laid out anew in its next frame.
        await expect.poll(() => stickingOut(page), { message: `${colorScheme}, ${width} px` }).toEqual([]);
      }
    }
    // What a browser shows at 200 % zoom of a 1280 px window is a window of half the width.
    await page.setViewportSize({ width: 640, height: 400 });
    await computed(page);
    await expect.poll(() => stickingOut(page), { message: "200 %" }).toEqual([]);
    expect(problems).toEqual([]);
  });
});

describe.each(lessons)("%s, with every answer shown", (name) => {
  const looks = [
    ["light", 820],
    ["dark", 390],
  ] as const;
  test.each(thorough ? looks : [looks[lessons.indexOf(name) % 2]])(
    "in %s at %i px: axe finds nothing, and nothing sticks out",
    async (colorScheme, width) => {
      const { page, problems } = await openLesson(name, { colorScheme, width, height: 900 });
      await showAll(page);
      expect(await stateWords(page)).toEqual((await stateWords(page)).map(() => "✓ ready"));
      expect(await accessibilityFaults(page)).toEqual([]);
      expect(await stickingOut(page)).toEqual([]);
      expect(problems).toEqual([]);
    },
  );
});
