import { expect, test } from "vitest";
import { cellNamed, textOf, unfolded } from "./demo.ts";
import { accessibilityFaults, openPage } from "./harness.ts";

const nm = Array.from({ length: 31 }, (_, i) => 400 + 10 * i);
/** Invented, as a spreadsheet exports it: a title, units, a column of remarks. */
const exported = [
  "Readings of the panel;;",
  "nm;panel;remark",
  "nm;%;",
  ...nm.map((x) => `${x};${(5 + 45 / (1 + Math.exp((590 - x) / 18))).toFixed(2).replace(".", ",")};ok`),
  "",
].join("\r\n");

// identity: what was said once of the instrument is what every cell takes
test("an instrument is named once; part, target, ready paint and correction go by it; a file is set right by a press", async () => {
  const { page, problems } = await openPage("/?notebook=put-a-mix-right", { height: 1100 });
  await page.getByRole("button", { name: "Notebooks" }).click();
  await page.getByRole("button", { name: "Copy this notebook" }).click();
  await expect.poll(() => page.url()).not.toMatch(/put-a-mix-right$/);
  await expect.poll(() => page.getByLabel("Title of the notebook").inputValue()).toContain("(copy)");

  const target = cellNamed(page, "Poppy red, unfaded");
  await target.getByText("Name the instrument: asked once, then chosen by name").click();
  await target.getByLabel("Name of the instrument").fill("Pocket sensor");
  await target.getByLabel("Its light").selectOption("D65");
  await target.getByLabel("Its observer").selectOption({ label: "10°" });
  await target.getByLabel("Its surface reflection").selectOption({ label: "excluded (45/0 or SCE)" });
  await target.getByRole("button", { name: "Keep it in the library" }).click();
  await expect.poll(() => target.getByLabel("Read with").inputValue()).toBe("Pocket sensor");
  const typed = async (cell: typeof target, Lab: string) => {
    const box = cell.getByLabel("L*, a*, b*: one colour on a line");
    // Where no colour is known yet, the box stands open.
    if (!(await box.isVisible())) await cell.getByText("Or type or paste Lab").click();
    await box.fill(Lab);
    await cell.getByRole("button", { name: "Read it" }).click();
  };
  await typed(target, "38.5 49 27");
  await expect
    .poll(() => textOf(target))
    .toMatch(/A Lab reading ?: L\* 38\.5.*surface reflection excluded ?, read with Pocket sensor/);
  // Nothing is asked any more of what the instrument says.
  expect(await textOf(target)).not.toContain("The file does not say everything");

  const seats = await unfolded(page, "Banquette seats");
  await seats
    .getByText("Its colour", { exact: true })
    .or(seats.getByText(/^(Measured|Known as Lab): /))
    .click();
  await expect.poll(() => seats.getByLabel("Read with").inputValue()).toBe("Pocket sensor");
  await typed(seats, "44 44 24");
  await expect
    .poll(() => seats.getByLabel("Surface reflection", { exact: true }).inputValue())
    .toBe("excluded");

  const rack = await unfolded(page, "The rack of pastes");
  await rack.getByText("Add a ready paint").click();
  await typed(rack, "62 8 22");
  await expect.poll(() => textOf(rack)).toContain("From a Lab of a film that hides");
  await rack.getByText("Change it", { exact: true }).last().click();
  await expect
    .poll(() => rack.getByLabel("Surface reflection in its readings").last().inputValue())
    .toBe("excluded");

  const correction = cellNamed(page, "Put it right");
  await expect.poll(() => correction.getByLabel("Read with").inputValue()).toBe("Pocket sensor");
  await correction.getByLabel("Surface reflection", { exact: true }).selectOption("as target");
  expect(await textOf(correction)).toContain(
    "Taken as read without the surface reflection, as the target was, with Pocket sensor.",
  );

  // A file with a column of words is refused, shows how it was taken apart, and is read once the column is left out.
  await correction
    .locator("bole-file input")
    .first()
    .setInputFiles({
      name: "panel.csv",
      mimeType: "text/csv",
      buffer: Buffer.from(`\uFEFF${exported}`, "utf16le"),
    });
  await expect.poll(() => textOf(correction)).toContain('"ok" is not a number');
  await correction.getByLabel("Column 3").selectOption({ label: "left out" });
  await expect.poll(() => textOf(correction)).toContain("Loaded: panel");
  expect(await textOf(correction)).toContain("How panel.csv was taken apart");
  for (const select of await correction.locator("bole-table-preview select").all()) {
    const box = await select.boundingBox();
    if (box) expect(box.height).toBeGreaterThanOrEqual(44); // WCAG 2.2, target size (enhanced)
  }
  expect(await accessibilityFaults(page)).toEqual([]);

  await page.reload();
  await expect
    .poll(() => cellNamed(page, "Put it right").getByLabel("Read with").inputValue())
    .toBe("Pocket sensor");
  expect(problems).toEqual([]);
});
