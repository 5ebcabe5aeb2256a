import type { Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { cellNamed, textOf } from "./demo.ts";
import { openPage } from "./harness.ts";
import { causeAndEffect, kept, sizes } from "./sight.ts";
import { reach } from "./walk.ts";

const typedColour = "L*, a*, b*: one colour on a line";

/** A whole job with five parts, from the opening page by the guide. @returns the address it is found at again */
async function fiveParts(page: Page): Promise<string> {
  const cell = (title: string) => cellNamed(page, title);
  const typed = async (title: string, text: string) => {
    await cell(title).getByLabel(typedColour).fill(text);
    await cell(title).getByLabel(typedColour).blur();
  };
  await page.getByRole("button", { name: /^A whole job/ }).click();
  await cell("My target").waitFor();
  await typed("My target", "38.5 49 27 (D65/10°)");
  await reach(page, "My part");
  const parts = ["My part"];
  for (let k = 1; k < 5; k++) {
    const last = parts[k - 1];
    await cell(last).getByRole("button", { name: /^More/ }).click();
    await cell(last).getByRole("button", { name: "Duplicate" }).click();
    parts.push(`My part ${k + 1}`);
    await cell(parts[k]).waitFor();
  }
  const colours = ["44 44 24", "21 0.5 0", "62 8 22", "30 2 3", "75 1 4"];
  for (const [k, part] of parts.entries()) await typed(part, `${colours[k]} (D65/10°)`);
  await reach(page, "Best basecoat ratio");
  await cell("Best basecoat ratio").getByRole("button", { name: "Settle blend and recipe" }).click();
  await cell("Best basecoat ratio")
    .getByText("Blend and recipe belong together")
    .waitFor({ timeout: 120_000 });
  await kept(page, /against the basecoat ratio/).waitFor();
  await page.getByText("Saved", { exact: false }).first().waitFor();
  await expect.poll(() => page.evaluate(() => location.search)).toContain("notebook=");
  return page.evaluate(() => location.pathname + location.search);
}

// common practice: as in the demo, what is moved and what it moves are seen at once
describe("in a job of one's own with five parts, built by the guide", () => {
  let address: string;

  // The others look at the job that this one makes.
  test("the way to the ratio leads by the guide alone", async () => {
    const { page, problems } = await openPage("/", { width: 1440, height: 900 });
    address = await fiveParts(page);
    expect(problems).toEqual([]);
  });

  test.each(sizes)("cause and effect stand on one screen of $width × $height", async (size) => {
    const { page, problems } = await openPage(address, { ...size, reducedMotion: "reduce" });
    await expect.poll(() => page.locator("bole-panels li").count()).toBeGreaterThanOrEqual(6);
    await causeAndEffect(page, "Ground under it", size);
    expect(problems).toEqual([]);
  });

  test("by keyboard alone: kept in sight, folded and put in another order", async () => {
    const { page, problems } = await openPage(address, { width: 1440, height: 900 });
    const ratio = cellNamed(page, "Best basecoat ratio");
    await ratio.locator("bole-chart").first().waitFor();
    const pieces = () => page.locator("bole-kept-piece").count();
    await page.locator("bole-kept-piece").first().waitFor();
    const before = await pieces();
    const keep = ratio.getByRole("button", { name: "In sight", pressed: false }).first();
    await keep.focus();
    await page.keyboard.press("Enter");
    await expect.poll(pieces).toBe(before + 1);

    await page.getByRole("button", { name: "Fold Best basecoat ratio", exact: true }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => textOf(ratio.locator(".told"))).toMatch(/ΔE00/);

    await page.getByRole("button", { name: "Cells", exact: true }).focus();
    await page.keyboard.press("Enter");
    const list = page.locator("bole-cells");
    const titles = () => list.locator(".title").allInnerTexts();
    await expect.poll(titles).toContain("Best basecoat ratio");
    const order = await titles();
    await list.locator("li", { hasText: "Best basecoat ratio" }).locator(".handle").focus();
    await page.keyboard.press("ArrowUp");
    const at = order.indexOf("Best basecoat ratio");
    await expect.poll(async () => (await titles()).indexOf("Best basecoat ratio")).toBe(at - 1);
    expect(problems).toEqual([]);
  });
});
