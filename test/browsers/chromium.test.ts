import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { cellNamed, demo } from "../e2e/demo.ts";
import { atRest, openPage } from "../e2e/harness.ts";
import { computed } from "../e2e/lessonPage.ts";
import { slowness } from "../e2e/timed/yardstick.ts";
import { thorough } from "../howMuch.ts";
import { focused, stickingOut, timeOfAction } from "./inPage.ts";

// What the journeys in other engines look for, by the same looks; all other journeys in Chromium are under test/e2e.

const ratio = (page: Page) =>
  cellNamed(page, "Ground under the red").locator("bole-slider input[type=range]").first();

test("Chromium: nothing sticks out of its cell, at twice the size of letters neither", async () => {
  const { page, problems } = await openPage(demo);
  for (const width of [1280, 820, 640]) {
    await page.setViewportSize({ width, height: 900 });
    await computed(page);
    await atRest(page);
    expect(await page.evaluate(stickingOut), `${width} px`).toEqual([]);
  }
  expect(problems).toEqual([]);
});

test("Chromium: what Tab comes to in a cell is in sight, in front of everything", async () => {
  const { page, problems } = await openPage(demo, { width: 1280, height: 700 });
  await computed(page);
  for (const title of ["Ground under the red", "Which blend?", "Where the light goes"]) {
    const first = cellNamed(page, title).getByLabel("Title of this cell");
    await first.scrollIntoViewIfNeeded();
    await atRest(page);
    await first.focus();
    for (let stop = 0; stop < 9; stop++) {
      await page.keyboard.press("Tab");
      await atRest(page);
      const { name, inSight, tag } = await page.evaluate(focused);
      expect(inSight, `${tag} “${name}”`).toBeGreaterThan(0.5);
    }
  }
  expect(problems).toEqual([]);
});

test("Chromium: a notebook left in the middle of a change does not keep the next one from opening", async () => {
  const { page, problems } = await openPage(demo);
  await computed(page);
  const slider = ratio(page);
  await slider.scrollIntoViewIfNeeded();
  const { x, y, width, height } = (await slider.boundingBox())!;
  await page.mouse.move(x + width / 2, y + height / 2);
  await page.mouse.down();
  for (const share of [0.55, 0.6, 0.7]) await page.mouse.move(x + share * width, y + height / 2);
  await page.mouse.up();
  await page.goto(new URL("/?notebook=lesson-3-one-drop-at-a-time", page.url()).href);
  await computed(page);
  expect(problems).toEqual([]);
});

test("Chromium, in forced colours: the knob of a slider can be seen", async () => {
  const { page, problems } = await openPage(demo, { width: 820, height: 1180 });
  await page.emulateMedia({ forcedColors: "active" });
  await computed(page);
  const slider = ratio(page);
  await slider.scrollIntoViewIfNeeded();
  await atRest(page);
  const seen = await slider.screenshot();
  await slider.evaluate((range: HTMLInputElement) => {
    range.value = range.min;
  });
  // common practice: a picture without the knob there differs by more than its compression
  expect(await slider.screenshot()).not.toEqual(seen);
  expect(problems).toEqual([]);
});

test.skipIf(!thorough)("Chromium: a search of 1,092 combinations takes at most 2 s", async () => {
  const { page, problems } = await openPage(demo);
  await computed(page);
  const recipe = cellNamed(page, "The red");
  await recipe.getByText("Search every combination of pastes").click();
  const button = recipe.getByRole("button", { name: "Search every combination" });
  const slower = await slowness(page);
  const times: number[] = [];
  for (let k = 0; k < 3; k++) times.push(await recipe.evaluate(timeOfAction, await button.elementHandle()));
  console.log(
    `Chromium, machine ${slower.toFixed(1)} times slower: searches took ${times.map((ms) => ms.toFixed(0)).join(", ")} ms`,
  );
  expect(Math.min(...times)).toBeLessThan(2000 * slower);
  expect(problems).toEqual([]);
});
