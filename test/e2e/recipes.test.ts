import { describe, expect, test } from "vitest";
import { cellNamed, openDemo, paintedFigures, panelFigures, textOf } from "./demo.ts";
import { openPage } from "./harness.ts";

describe("recipes in a real browser", () => {
  test("search, take a result, weigh it out in drops", async () => {
    const { page, problems } = await openDemo();
    const recipe = cellNamed(page, "The red");
    await recipe.getByText("Search every combination of pastes").click();
    await recipe.getByRole("button", { name: "Search every combination" }).click();
    await recipe.getByRole("button", { name: "Take recipe 1" }).waitFor({ timeout: 40_000 });
    expect(await textOf(recipe)).toMatch(/The best of 1,092 combinations/);
    const before = await panelFigures(page);
    await recipe.getByRole("button", { name: "Take recipe 2" }).click();
    await expect.poll(() => panelFigures(page)).not.toEqual(before);
    await expect
      .poll(async () => (await paintedFigures(page)).every((text) => text.includes("passes")))
      .toBe(true);

    const weigh = cellNamed(page, "On the balance");
    await weigh.getByLabel("Measure in").selectOption({ label: "drops, binder in grams" });
    await expect.poll(() => textOf(weigh)).toMatch(/\d+ drops/);
    expect(problems).toEqual([]);
  });

  test("a kept list is marked when the question has changed, and its colours are those of today", async () => {
    const { page, problems } = await openDemo();
    const recipe = cellNamed(page, "The red");
    await recipe.getByText("Search every combination of pastes").click();
    await recipe.getByRole("button", { name: "Search every combination" }).click();
    await recipe.getByRole("button", { name: "Take recipe 1" }).waitFor({ timeout: 40_000 });
    expect(await textOf(recipe)).not.toContain("From an earlier question");
    await cellNamed(page, "Which blend?").getByRole("button", { name: "Take the best ratio" }).click();
    await expect.poll(() => textOf(recipe)).toContain("From an earlier question");
    await expect.poll(() => recipe.getByRole("button", { name: "Take recipe 1" }).count()).toBe(1);
    expect(problems).toEqual([]);
  });

  test("a search can be stopped, by keyboard, and keeps what was there", async () => {
    const { page, problems } = await openDemo();
    const recipe = cellNamed(page, "The red");
    await recipe.getByText("Search every combination of pastes").click();
    const most = recipe.getByLabel("At most", { exact: true });
    await most.fill("6");
    await most.press("Enter");
    await recipe.getByRole("button", { name: "Search every combination" }).focus();
    await page.keyboard.press("Enter");
    const stop = recipe.getByRole("button", { name: "Stop" });
    await stop.waitFor();
    await stop.focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => stop.count()).toBe(0);
    expect(await recipe.getByRole("button", { name: /Take recipe/ }).count()).toBe(0);
    expect(problems).toEqual([]);
  });

  test("correct a batch, by keyboard alone", async () => {
    const { page, problems } = await openPage("/?notebook=put-a-mix-right", { height: 1000 });
    await page.locator("bole-panels .figure").first().waitFor();
    await page.getByRole("button", { name: "Notebooks" }).focus();
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Copy this notebook" }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => page.url()).not.toMatch(/put-a-mix-right$/);
    const cell = cellNamed(page, "Put it right");
    await expect
      .poll(() => textOf(cell), { timeout: 20_000 })
      .toMatch(/expected ΔE00 on the worst part from 1\.\d+ to 0\.\d+/);
    const names = await cell.locator("tbody th[scope=row]").allInnerTexts();
    expect(names.length).toBeGreaterThan(0);
    const added = cell.getByRole("button", { name: "I have added this: keep it as the pot" });
    await added.focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => textOf(cell)).toContain("The test panel is not measured yet");
    // What was added is in the pot now.
    for (const name of names) expect(await cell.getByLabel(name, { exact: true }).count()).toBe(1);

    const choice = cell.getByLabel("The panel was");
    await choice.focus();
    await page.keyboard.type("read");
    await expect.poll(() => choice.evaluate((select: HTMLSelectElement) => select.value)).toBe("lab");
    // Nothing is computed from a colour that nobody has typed.
    expect(await cell.getByLabel("L*", { exact: true }).count()).toBe(0);
    await cell.getByLabel("L*, a*, b*: one colour on a line").focus();
    await page.keyboard.type("37 46 24");
    await cell.getByRole("button", { name: "Read it" }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => cell.getByLabel("L*", { exact: true }).inputValue()).toMatch(/^37/);
    expect(problems).toEqual([]);
  });

  test("a result is taken and drops are chosen by keyboard alone", async () => {
    const { page, problems } = await openDemo();
    const recipe = cellNamed(page, "The red");
    await recipe.getByText("Search every combination of pastes").focus();
    await page.keyboard.press("Enter");
    await recipe.getByRole("button", { name: "Search every combination" }).focus();
    await page.keyboard.press("Enter");
    const take = recipe.getByRole("button", { name: "Take recipe 1" });
    await take.waitFor({ timeout: 40_000 });
    const before = await panelFigures(page);
    await take.focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => panelFigures(page)).not.toEqual(before);
    const measure = cellNamed(page, "On the balance").getByLabel("Measure in");
    await measure.focus();
    await page.keyboard.type("drops");
    await expect.poll(() => textOf(cellNamed(page, "On the balance"))).toMatch(/\d+ drops/);
    expect(problems).toEqual([]);
  });

  test.each([
    [
      "contradictory limits",
      { always: ["Carbon black", "Red oxide"], most: "1" },
      /2 pastes are required, but a recipe may hold 1/,
    ],
  ])("%s: a clear message", async (_, { always, most }, message) => {
    const { page, problems } = await openDemo();
    const recipe = cellNamed(page, "The red");
    await recipe.getByText("Search every combination of pastes").click();
    await recipe.getByText("Rules for single pastes").click();
    for (const paste of always) await recipe.getByLabel(`Use of ${paste}`).selectOption("always");
    const field = recipe.getByLabel("At most", { exact: true });
    await field.fill(most);
    await field.press("Enter");
    await recipe.getByRole("button", { name: "Search every combination" }).click();
    await expect
      .poll(() =>
        page
          .getByRole("alert")
          .allInnerTexts()
          .then((texts) => texts.join(" ")),
      )
      .toMatch(message);
    expect(problems).toEqual([]);
  });
});
