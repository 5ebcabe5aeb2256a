import type { Locator, Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { cellNamed, openDemo, panelFigures } from "./demo.ts";
import { accessibilityFaults, atRest } from "./harness.ts";

// common practice: a desk, a laptop, a tablet held upright, a phone
const sizes = [
  { width: 1440, height: 900 },
  { width: 1180, height: 820 },
  { width: 820, height: 1180 },
  { width: 390, height: 844, hasTouch: true },
];

const kept = (page: Page, piece: RegExp): Locator =>
  page.locator("bole-kept-piece").filter({ has: page.getByRole("button", { name: piece }) });

/** Whether the whole of an element can be seen: within the window and within everything that scrolls around it. */
const isWholly = (element: Locator): Promise<boolean> =>
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

describe.each(sizes)("cause and effect on one screen of $width × $height", (size) => {
  test("with the ratio in hand, panels, difference and curves are in sight; bars are small", async () => {
    const { page, problems } = await openDemo({ ...size, reducedMotion: "reduce" });
    const cell = cellNamed(page, "Ground under the red");
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
    expect(problems).toEqual([]);
  });

  test("every caption of the panels is whole, and every colour large enough to be judged", async () => {
    const { page } = await openDemo(size);
    await page.locator("bole-panels .caption").first().waitFor();
    const faults = await page.locator("bole-panels li").evaluateAll((tiles) =>
      tiles.flatMap((tile) => {
        const cut = [...tile.querySelectorAll(".caption, p")].filter(
          (words) => words.scrollWidth > words.clientWidth + 1 || words.scrollHeight > words.clientHeight + 1,
        );
        const small = [...tile.querySelectorAll(".half")].filter((half) => {
          const { width, height } = half.getBoundingClientRect();
          return width < 47.5 || height < 47.5;
        });
        return [...cut.map((words) => `cut: ${words.textContent}`), ...small.map(() => "too small")];
      }),
    );
    expect(faults).toEqual([]);
  });
});

describe("keeping and folding", () => {
  test("by keyboard: a picture is kept, let go, and neither is a step to undo", async () => {
    const { page, problems } = await openDemo({ width: 1440, height: 900 });
    await page.locator("bole-kept-piece").first().waitFor();
    const pieces = () => page.locator("bole-kept-piece").count();
    const before = await pieces();
    const coats = cellNamed(page, "Coat by coat on every part").locator("bole-chart").nth(1);
    const press = coats.getByRole("button", { name: "In sight" });
    await press.focus();
    await page.keyboard.press("Enter");
    await expect.poll(pieces).toBe(before + 1);
    expect(await press.getAttribute("aria-pressed")).toBe("true");
    const there = kept(page, /coat by coat/);
    await there.scrollIntoViewIfNeeded();
    await there.locator("bole-chart .picture svg").waitFor();
    expect(await page.getByRole("button", { name: /^Undo/ }).isDisabled()).toBe(true);
    await there.getByRole("button", { name: "Let go" }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(pieces).toBe(before);
    expect(problems).toEqual([]);
  });

  test("a cell folds to its verdict, stays so after a reload, and a press that leads to it unfolds it", async () => {
    const { page, problems } = await openDemo({ width: 1440, height: 900 });
    const title = "Which blend?";
    await page.getByRole("button", { name: `Fold ${title}`, exact: true }).press("Enter");
    const line = cellNamed(page, title).locator(".told");
    await expect.poll(() => line.innerText()).toMatch(/Best: .*ΔE00/);
    expect(await page.getByRole("button", { name: /^Undo/ }).isDisabled()).toBe(true);
    await page.getByText("Saved", { exact: false }).first().waitFor();
    await page.reload();
    await line.waitFor();
    await page.getByRole("button", { name: "Cells", exact: true }).click();
    await page
      .locator("bole-cells")
      .getByRole("button", { name: /^Ratio sweep/ })
      .click();
    await cellNamed(page, title).locator("bole-chart").first().waitFor();
    expect(problems).toEqual([]);
  });

  test("the list shows every cell with its figure, moves one by keys, and what is linked looks linked", async () => {
    const { page, problems } = await openDemo({ width: 1440, height: 900 });
    await page.getByRole("button", { name: "Cells", exact: true }).click();
    const list = page.locator("bole-cells");
    const rows = list.locator("li");
    await expect.poll(() => rows.count()).toBe(17);
    const ground = rows.filter({ hasText: "Ground under the red" });
    await ground.hover();
    await expect.poll(() => rows.filter({ hasText: "Base paints" }).getAttribute("class")).toContain("gives");
    await expect
      .poll(() => rows.filter({ hasText: "Coat by coat" }).getAttribute("class"))
      .toContain("takes");
    expect(await cellNamed(page, "Base paints").getAttribute("relation")).toBe("gives");
    const titles = () => list.locator(".title").allInnerTexts();
    const before = await titles();
    await ground.locator(".handle").focus();
    await page.keyboard.press("ArrowUp");
    const at = before.indexOf("Ground under the red");
    await expect.poll(async () => (await titles()).indexOf("Ground under the red")).toBe(at - 1);
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(problems).toEqual([]);
  });
});
