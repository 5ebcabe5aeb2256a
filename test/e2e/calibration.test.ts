import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Locator, Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { cellNamed, textOf, unfolded } from "./demo.ts";
import { accessibilityFaults, notebookFolder, openPage } from "./harness.ts";
import { layoutFaults, type Paper, papers, readPdf } from "./printedPage.ts";

const example = readFileSync("data/examples/drawdowns-rose.csv");
const colours = readFileSync("data/examples/drawdowns-rose-colours.csv");
const file = (name: string, buffer: Buffer) => ({ name, mimeType: "text/csv", buffer });

let made = 0;

/** The example notebook under a name of its own, so that tests do not disturb one another. */
async function openCopy(options: Parameters<typeof openPage>[1] = {}) {
  const name = `calibration-test-${++made}`;
  const text = readFileSync("data/examples/calibrate-a-paste.json", "utf8");
  writeFileSync(join(notebookFolder(), `${name}.bole.json`), text);
  const opened = await openPage(`/?notebook=${name}`, { height: 1000, ...options });
  const rose = cellNamed(opened.page, "Rose, calibrated");
  await expect.poll(() => textOf(rose), { timeout: 20_000 }).toContain("The data suffice");
  return { ...opened, rose };
}

/** Where a table is loaded; a drawdown that is being changed has a place for files of its own. */
const tableFile = (rose: Locator) => rose.locator("bole-view-calibration bole-file input[type=file]").first();

async function typeNumber(within: Locator, label: string, value: string): Promise<void> {
  const box = within.getByLabel(label, { exact: true });
  await box.fill(value);
  await box.press("Enter");
}

describe("calibration in a real browser", () => {
  test("import drawdowns, read the verdict, add the component, see the recipe change, renew it", async () => {
    const { page, problems, rose } = await openCopy();
    await tableFile(rose).setInputFiles(file("mine.csv", example));
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/The data suffice[\s\S]*8 drawdowns of mine\.csv/);
    await expect.poll(() => textOf(rose)).toMatch(/predicted from the others within ΔE00\s0\.\d\d/);

    await rose.getByRole("button", { name: /^Add “Rose sample” to The rack of pastes/ }).click();
    const rack = await unfolded(page, "The rack of pastes");
    await expect.poll(() => textOf(rack)).toContain("Rose sample (own)");
    await expect.poll(() => textOf(rose)).toMatch(/✓ “\s*Rose sample\s*” is in The rack/);

    const mix = cellNamed(page, "A deep rose");
    const colour = () => mix.locator("bole-swatch .sub").first().innerText();
    const before = await colour();
    await mix.getByLabel("Add a component").selectOption({ label: "Rose sample" });
    const dose = mix.getByLabel("Rose sample, typed");
    await dose.fill("8");
    await dose.press("Enter");
    await expect.poll(colour).not.toBe(before);

    await rose.getByRole("button", { name: "Leave it out: masstone thin" }).click();
    await rose.getByRole("button", { name: /^Renew “Rose sample”/ }).click();
    await expect.poll(() => textOf(rose)).toMatch(/✓ “\s*Rose sample\s*” is in The rack/);
    expect(problems).toEqual([]);
  });

  test("drawdowns that do not suffice are refused with the reason; a broken file leaves what was there", async () => {
    const { problems, rose } = await openCopy();
    const input = tableFile(rose);
    await input.setInputFiles(
      file("unmeasured.csv", readFileSync("data/examples/drawdowns-rose-unmeasured.csv")),
    );
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/The data do not suffice[\s\S]*cannot be told apart/);
    expect(await rose.getByRole("button", { name: /^Add “/ }).count()).toBe(0);
    await input.setInputFiles(file("broken.csv", Buffer.from("label,ground\nx,black\n")));
    await expect.poll(() => textOf(rose)).toMatch(/broken\.csv/);
    expect(await textOf(rose)).toContain("What was loaded before stays");

    // Colours alone: coarse, and it says so on the component too.
    await input.setInputFiles(file("colours.csv", colours));
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/Coarse: made from colours alone\. Expect a panel to be off by about ΔE00\s\d\.\d/);
    await rose.getByRole("button", { name: "Change the bare card" }).click();
    await rose.getByLabel(/typed or pasted here: L\* a\* b\*/).fill("25.9 0.1 -0.1");
    await rose.getByRole("button", { name: "Read it, over black" }).click();
    await expect.poll(() => textOf(rose)).toContain("over black (2 readings) and white");
    expect(problems).toEqual([]);
  });

  test("a drawdown by hand: pasted, loaded, changed, set aside, taken back, saved as CSV", async () => {
    const { page, problems, rose } = await openCopy();
    const rows = example.toString("utf8").split("\n");
    const cellsOf = (start: string) => rows.find((row) => row.startsWith(start))!.split(",");
    const curve = (start: string) => cellsOf(start).slice(-36);
    // A film like the let-down 1:2 thin, but not its very readings.
    const near = (start: string) =>
      curve(start).map((value, i) => (Number(value) + (i % 2 ? 4e-4 : -4e-4)).toFixed(4));
    await rose.getByRole("button", { name: "Add a drawdown by hand" }).click();
    const form = rose.locator("bole-film-form");
    await form.getByLabel("Label", { exact: true }).fill("check film");
    await form.getByLabel("Label", { exact: true }).press("Enter");
    await typeNumber(form, "The new paste", "7");
    await form.getByLabel("Add a component").selectOption({ label: "Titanium white" });
    await typeNumber(form, "Titanium white", "14");
    await form.getByLabel("Add a component").selectOption({ label: "Clear flexible binder" });
    await typeNumber(form, "Clear flexible binder", "79");
    await form.getByLabel("How it is known").selectOption({ label: "measured dry" });
    await typeNumber(form, "Thickness", "11.3");
    await form.getByLabel("or pasted here").fill(near("let-down 1:2 thin,black").join(" "));
    await form.getByRole("button", { name: "Read it, over black" }).click();
    await expect.poll(() => textOf(form)).toContain("over black one reading");
    const nm = rows
      .find((row) => row.startsWith("label,"))!
      .split(",")
      .slice(-36);
    const white = near("let-down 1:2 thin,white");
    const two = [
      `sample,${nm}`,
      `first,${white}`,
      `second,${white.map((value) => (Number(value) + 0.001).toFixed(4))}`,
    ];
    await form.locator("input[type=file]").setInputFiles(file("white.csv", Buffer.from(two.join("\n"))));
    await form.getByRole("button", { name: "Average 2 readings" }).click();
    await form.getByRole("button", { name: "Done" }).click();
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/check film 7 mL paste \+ 14 mL Titanium white[\s\S]*stated 11\.3 µm dry found 1\d\.\d+ ±/);

    // Weighed wrongly: it contradicts, is set aside, and the person decides.
    await rose.getByRole("button", { name: "Change check film" }).click();
    await typeNumber(form, "The new paste", "28");
    await form.getByRole("button", { name: "Done" }).click();
    await expect
      .poll(() => textOf(rose), { timeout: 20_000 })
      .toMatch(/check film contradicts the other drawdowns and is set aside[\s\S]*Likely cause: composition/);
    await rose.getByRole("button", { name: "Take it back", exact: true }).click();
    await expect.poll(() => textOf(rose), { timeout: 20_000 }).toContain("and is used all the same");
    await rose.locator(".contradicts").getByRole("button", { name: "Leave it out" }).click();
    await expect.poll(() => textOf(rose), { timeout: 20_000 }).not.toContain("contradicts");

    const download = page.waitForEvent("download");
    await rose.getByRole("button", { name: "Save the table as CSV" }).click();
    const saved = readFileSync((await (await download).path())!, "utf8");
    expect(saved).toContain("# left out of the calibration: check film");
    const { films } = readDrawdownFile(saved, "saved.csv");
    expect(films).toHaveLength(9);
    expect(films[8]).toMatchObject({ label: "check film", amounts: [28, 14, 79] });
    expect(films[8].readings.map(({ ground, repeats }) => [ground, repeats])).toEqual([
      ["black", 1],
      ["white", 2],
    ]);
    // Undo brings it back, as any change.
    await page.getByRole("button", { name: /^Undo/ }).first().click();
    await expect.poll(() => textOf(rose), { timeout: 20_000 }).toContain("check film contradicts");
    expect(problems).toEqual([]);
  });

  test("refits show how far they are, stop, and give their bands; the worksheet prints on both papers", async () => {
    const { page, problems, rose } = await openCopy();
    const refit = rose.getByRole("button", { name: "Check the error bars by 200 refits" });
    await refit.click();
    await rose.getByRole("button", { name: "Stop" }).click();
    await expect.poll(() => rose.getByRole("progressbar").count()).toBe(0);
    expect(await textOf(rose)).toContain("the grey bands are from the fit");
    await refit.click();
    await expect
      .poll(() => textOf(rose), { timeout: 30_000 })
      .toContain("the grey bands are from 200 refits");

    await rose.getByText("The worksheet to print").click();
    const download = page.waitForEvent("download");
    await rose.getByRole("button", { name: "Save the worksheet as a file" }).click();
    const html = readFileSync((await (await download).path())!, "utf8");
    expect(html).toContain("Drawdowns of Rose sample");
    for (const paper of Object.keys(papers) as Paper[]) await printsOnOnePage(page, html, paper);
    expect(problems).toEqual([]);
  });

  test("axe finds nothing in it with everything open, 820 px light and 390 px dark", async () => {
    const { page, problems, rose } = await openCopy({ width: 820 });
    await rose.getByRole("button", { name: "Change masstone thin" }).click();
    await rose.locator("bole-film-form").waitFor();
    for (const summary of await rose.locator("summary").all()) await summary.click();
    for (const [width, colorScheme] of [
      [820, "light"],
      [390, "dark"],
    ] as const) {
      await page.setViewportSize({ width, height: 1000 });
      await page.emulateMedia({ colorScheme });
      expect(await accessibilityFaults(page)).toEqual([]);
      // Nothing is wider than the screen.
      expect(
        await page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
      ).toBeLessThanOrEqual(0);
    }
    expect(problems).toEqual([]);
  });
});

async function printsOnOnePage(around: Page, html: string, paper: Paper): Promise<void> {
  const page = await around.context().newPage();
  try {
    await page.emulateMedia({ media: "print" });
    const { width, height } = papers[paper];
    const margin = (12 / 25.4) * 72;
    const [across, down] = [width, height].map((size) => Math.floor(((size - 2 * margin) * 96) / 72));
    await page.setViewportSize({ width: across, height: down });
    await page.setContent(html);
    expect(await layoutFaults(page), paper).toEqual([]);
    const tall = await page.evaluate(() => document.documentElement.scrollHeight - innerHeight);
    expect(tall, `${paper}: px taller than the paper`).toBeLessThanOrEqual(0);
    expect(readPdf(await page.pdf({ format: paper })).pages, paper).toBe(1);
  } finally {
    await page.close();
  }
}
