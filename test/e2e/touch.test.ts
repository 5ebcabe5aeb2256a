import type { CDPSession, Locator, Page } from "playwright-core";
import { expect, test } from "vitest";
import { cellNamed, openDemo, textOf } from "./demo.ts";
import { atRest, openPage } from "./harness.ts";

const phone = { width: 390, height: 844, hasTouch: true, isMobile: true } as const;

interface Place {
  readonly x: number;
  readonly y: number;
}

/** A finger that goes down, moves by small steps and goes up, as the browser gets it from a touch screen. */
async function finger(
  session: CDPSession,
  from: Place,
  by: Place,
  end: "touchEnd" | "touchCancel" = "touchEnd",
) {
  const at = (share: number) => [{ x: from.x + by.x * share, y: from.y + by.y * share }];
  await session.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: at(0) });
  const steps = by.x === 0 && by.y === 0 ? 0 : 12;
  for (let step = 1; step <= steps; step++)
    await session.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: at(step / steps) });
  await session.send("Input.dispatchTouchEvent", { type: end, touchPoints: [] });
}

/** Brings an element into the middle of what the drawer leaves of the window and gives a place in it, by shares of its width and height. */
async function placeIn(element: Locator, across: number, down = 0.5): Promise<Place> {
  await element.evaluate(async (found) => {
    // A swipe runs on for a while; a finger put down meanwhile stops it and does nothing else.
    for (let before = -1, still = 0; still < 10; before = scrollY) {
      await new Promise(requestAnimationFrame);
      still = scrollY === before ? still + 1 : 0;
    }
    const { top, height } = found.getBoundingClientRect();
    scrollBy({ top: top + height / 2 - innerHeight * 0.42, behavior: "instant" });
  });
  const box = (await element.boundingBox())!;
  return { x: box.x + across * box.width, y: box.y + down * box.height };
}

interface Touched {
  readonly element: Locator;
  /** what it sets, in words */
  readonly value: () => Promise<string>;
}

/**
 * A swipe up that starts on the element scrolls and sets nothing; a tap, and then a drag to the side, set a value each; a
 * drag that the system takes away sets back what it had set.
 */
async function keepsItsValueUnderASwipe(page: Page, { element, value }: Touched, canBeCancelled = true) {
  const session = await page.context().newCDPSession(page);
  const scrolled = () => page.evaluate(() => Math.round(scrollY));
  const before = await value();
  const start = await placeIn(element, 0.3);
  const height = await scrolled();
  await finger(session, start, { x: 3, y: -260 });
  await expect.poll(scrolled).toBeGreaterThan(height + 150);
  expect(await value()).toBe(before);

  await finger(session, await placeIn(element, 0.32), { x: 0, y: 0 });
  await expect.poll(value).not.toBe(before);
  const tapped = await value();

  await finger(session, await placeIn(element, 0.4), { x: 70, y: 6 });
  await expect.poll(value).not.toBe(tapped);
  const dragged = await value();
  if (!canBeCancelled) return;

  await finger(session, await placeIn(element, 0.7), { x: -60, y: 0 }, "touchCancel");
  await expect.poll(value).toBe(dragged);
}

test("the ratio chart and its slider: a swipe scrolls; a tap and a sideways drag set the ratio", async () => {
  const { page, problems } = await openDemo(phone);
  const share = () =>
    cellNamed(page, "Ground under the red")
      .getByLabel(/^Share of the second paint.*typed$/)
      .inputValue();
  const chart = cellNamed(page, "Which blend?").locator(".pick").first();
  await keepsItsValueUnderASwipe(page, { element: chart, value: share });
  const slider = cellNamed(page, "Ground under the red").locator("bole-slider input[type=range]").first();
  await keepsItsValueUnderASwipe(page, { element: slider, value: share });
  expect(problems).toEqual([]);
});

test("the triangle and the map: a swipe scrolls; a tap and a sideways drag set a blend", async () => {
  const { page, problems } = await openPage("/?notebook=choose-the-ground", phone);
  const triangles = page.locator("bole-cell", { has: page.locator("bole-view-three-paints") });
  await triangles.locator("bole-slider").first().scrollIntoViewIfNeeded();
  await triangles.locator("bole-chart .picture svg").first().waitFor();
  const values = (frame: Locator) => async () => {
    const boxes = await frame.locator("bole-slider #box").all();
    return (await Promise.all(boxes.map((box) => box.inputValue()))).join(" ");
  };
  // A map is set when the finger goes up: there is nothing to take back.
  const triangle = { element: triangles.locator("bole-chart .picture"), value: values(triangles) };
  await keepsItsValueUnderASwipe(page, triangle, false);

  const maps = page.locator("bole-cell", { has: page.locator("bole-view-what-if") });
  await maps.locator("bole-slider").first().scrollIntoViewIfNeeded();
  await expect.poll(() => textOf(maps)).toContain("Press a place");
  await maps.locator("bole-chart .picture svg").first().waitFor();
  await keepsItsValueUnderASwipe(
    page,
    { element: maps.locator("bole-chart .picture"), value: values(maps) },
    false,
  );
  expect(problems).toEqual([]);
});

test("the drawer of a phone: a swipe leads to the next picture and sets nothing, a tap sets; it shrinks to a bar", async () => {
  const { page, problems } = await openDemo(phone);
  const drawer = page.locator("bole-kept");
  const pictures = drawer.locator("bole-kept-piece");
  const chart = pictures.filter({ hasText: /against the basecoat ratio/ }).locator(".pick");
  await chart.waitFor();
  const share = () =>
    cellNamed(page, "Ground under the red")
      .getByLabel(/^Share of the second paint.*typed$/)
      .inputValue();
  const before = await share();
  const left = () => drawer.getByRole("list", { name: "Kept in sight" }).evaluate((list) => list.scrollLeft);
  const session = await page.context().newCDPSession(page);
  const at = async (across: number) => {
    const box = (await chart.boundingBox())!;
    return { x: box.x + across * box.width, y: box.y + box.height / 2 };
  };
  /** Swipes until the list of pictures has gone on: a busy machine may take a quick swipe for a tremble. */
  const swipe = async (from: () => Promise<Place>, by: number, isThere: (at: number) => boolean) => {
    await expect
      .poll(
        async () => {
          if (isThere(await left())) return true;
          await finger(session, await from(), { x: by, y: 4 });
          await atRest(page);
          return isThere(await left());
        },
        { interval: 300 },
      )
      .toBe(true);
  };
  await swipe(
    () => at(0.8),
    -220,
    (px) => px > 250,
  );
  expect(await share()).toBe(before);
  // It comes to rest with one picture in full, and leads back the same way.
  const second = (await pictures.nth(1).boundingBox())!;
  await swipe(
    async () => ({ x: 60, y: second.y + second.height / 2 }),
    260,
    (px) => px === 0,
  );
  expect(await share()).toBe(before);

  await finger(session, await at(0.25), { x: 0, y: 0 });
  await expect.poll(share).not.toBe(before);

  const shrink = page.getByRole("button", { name: /^(Shrink|Show) the panels/ });
  await shrink.tap();
  await expect.poll(() => drawer.isVisible()).toBe(false);
  // common practice: bars leave four fifths of a phone to the work
  const { height } = (await page.locator("aside.side").boundingBox())!;
  expect(height).toBeLessThan(0.2 * phone.height);
  await shrink.tap();
  await expect.poll(() => drawer.isVisible()).toBe(true);
  expect(problems).toEqual([]);
});
