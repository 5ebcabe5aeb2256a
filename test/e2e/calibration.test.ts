import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { cellNamed, textOf } from "./demo.ts";
import { accessibilityFaults, openPage } from "./harness.ts";

const example = readFileSync("data/examples/drawdowns-rose.csv");

describe("calibration in a real browser", () => {
  test("import drawdowns, read the verdict, add the component, see the recipe change", async () => {
    const { page, problems } = await openPage("/?notebook=calibrate-a-paste", { height: 1000 });
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.getByRole("button", { name: "Copy this notebook" }).click();
    await expect.poll(() => page.url()).not.toMatch(/calibrate-a-paste$/);
    const rose = cellNamed(page, "Rose, calibrated");
    await rose
      .locator("bole-file input[type=file]")
      .setInputFiles({ name: "mine.csv", mimeType: "text/csv", buffer: example });
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/The data suffice[\s\S]*8 drawdowns of mine\.csv/);
    await expect.poll(() => textOf(rose)).toMatch(/predicted from the others within ΔE00 0\.\d\d/);

    await rose.getByRole("button", { name: /^Add “Rose sample” to The rack of pastes/ }).click();
    await expect.poll(() => textOf(cellNamed(page, "The rack of pastes"))).toContain("Rose sample (own)");

    const mix = cellNamed(page, "A deep rose");
    const colour = () => mix.locator("bole-swatch .sub").first().innerText();
    const before = await colour();
    await mix.getByLabel("Add a component").selectOption({ label: "Rose sample" });
    const dose = mix.getByLabel("Rose sample, typed");
    await dose.fill("12");
    await dose.press("Enter");
    await expect.poll(colour).not.toBe(before);
    expect(problems).toEqual([]);
  });

  test("drawdowns that do not suffice are refused with the reason", async () => {
    const { page, problems } = await openPage("/?notebook=calibrate-a-paste", { height: 1000 });
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.getByRole("button", { name: "Copy this notebook" }).click();
    await expect.poll(() => page.url()).not.toMatch(/calibrate-a-paste$/);
    const rose = cellNamed(page, "Rose, calibrated");
    const file = rose.locator("bole-file input[type=file]");
    await file.setInputFiles({
      name: "unmeasured.csv",
      mimeType: "text/csv",
      buffer: readFileSync("data/examples/drawdowns-rose-unmeasured.csv"),
    });
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/The data do not suffice[\s\S]*cannot be told apart/);
    expect(await rose.getByRole("button", { name: /^Add “/ }).count()).toBe(0);
    await file.setInputFiles({
      name: "broken.csv",
      mimeType: "text/csv",
      buffer: Buffer.from("label,ground\nx,black\n"),
    });
    await expect.poll(() => textOf(rose)).toMatch(/broken\.csv/);
    expect(await textOf(rose)).toContain("What was loaded before stays");
    expect(problems).toEqual([]);
  });

  test("axe finds nothing in it", async () => {
    const { page, problems } = await openPage("/?notebook=calibrate-a-paste", { width: 820 });
    await expect
      .poll(() => textOf(cellNamed(page, "Rose, calibrated")), { timeout: 20_000 })
      .toContain("The data suffice");
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(problems).toEqual([]);
  });
});
