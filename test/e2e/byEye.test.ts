import { describe, expect, test } from "vitest";
import { cellNamed, textOf } from "./demo.ts";
import { accessibilityFaults, openPage } from "./harness.ts";

const tablet = { width: 820, height: 1180, hasTouch: true };

describe("no instrument, on a tablet with touch", () => {
  test("pour, judge, pour, by labels, with at most eight presses a panel", async () => {
    const { page, problems } = await openPage("/?notebook=no-instrument", tablet);
    await page.getByRole("button", { name: "Notebooks" }).tap();
    await page.getByRole("button", { name: "Copy this notebook" }).tap();
    await expect.poll(() => page.url()).not.toMatch(/no-instrument$/);
    const cell = cellNamed(page, "The seat pad, by eye");
    await expect.poll(() => textOf(cell)).toContain("After 2 panels");

    for (const [panel, words] of [
      [3, ["hardly lighter", "cannot tell", "slightly yellower"]],
      [4, ["cannot tell", "cannot tell", "cannot tell"]],
    ] as const) {
      let presses = 0;
      const press = async (name: string, group?: RegExp) => {
        const at = group ? cell.getByRole("group", { name: group }) : cell;
        const button = at.getByRole("button", { name, exact: true });
        const box = await button.boundingBox();
        expect(box!.height).toBeGreaterThanOrEqual(44); // WCAG 2.2, target size (enhanced)
        expect(box!.width).toBeGreaterThanOrEqual(44);
        await button.tap();
        presses++;
      };
      await press("Poured, dry: judge this panel");
      await expect.poll(() => textOf(cell)).toContain(`Panel ${panel} is, beside the reference`);
      await press(words[0], /^Lightness/);
      await press(words[1], /^Strength/);
      await press(words[2], /^Hue/);
      await expect
        .poll(() => textOf(cell))
        .toMatch(panel === 4 ? /cannot tell panel 4 from the reference/ : /After 3 panels|Panel 3 is likely/);
      expect(presses).toBeLessThanOrEqual(8);
    }
    await expect.poll(() => textOf(cell)).toMatch(/A difference of ΔE00 \d\.\d+ could still hide/);
    await cell.locator("bole-chart svg").first().waitFor();
    // What was told goes on into the recipe.
    await expect.poll(() => textOf(cellNamed(page, "Recipe for the seats"))).toMatch(/ΔE/);
    // The last panel and the reference were measured since: they grade the eye, by the habit of the instrument.
    const measured = cell.locator("bole-measured-pair");
    await cell.getByText("Was panel 4 measured, and the reference too?").tap();
    const box = (label: string) =>
      measured.locator("bole-colour-input", { has: page.getByLabel(label, { exact: true }) });
    const [panel, reference] = [box("Colour of panel 4"), box("Colour of the reference")];
    const type = async (where: typeof panel, text: string) => {
      const lines = where.getByLabel("L*, a*, b*: one colour on a line");
      if (!(await lines.isVisible())) await where.getByText("Or type or paste Lab").tap();
      await lines.fill(text);
      await lines.blur();
    };
    await type(panel, "60 5 20");
    await measured.getByText(/name the instrument that it was read with/).waitFor();
    await panel.getByText("Name the instrument: asked once").tap();
    await panel.getByLabel("Name of the instrument").fill("Pocket sensor");
    await panel.getByLabel("Its surface reflection").selectOption("excluded");
    await panel.getByRole("button", { name: "Keep it in the library" }).tap();
    await panel.getByText("What a reading does not say itself").waitFor();
    await type(panel, "60 5 20");
    await measured.getByText(/Colour of panel 4, as the eye saw it/).waitFor();
    await type(reference, "60.2 5 20.4");
    await expect.poll(() => textOf(cell)).toContain("Known from 3 words about panels that were measured too");
    expect(problems).toEqual([]);
  });
});

test("an apprentice judges a pair, guesses the paste and sees; then the next pair", async () => {
  const { page, problems } = await openPage("/?notebook=lesson-7-judge-by-eye", tablet);
  const cell = cellNamed(page, "One pair after the other");
  await expect.poll(() => textOf(cell)).toContain("Trust the direction, not the size");
  expect(await textOf(cell)).not.toContain("Computed");
  for (const [group, word] of [
    [/^Lightness/, "clearly lighter"],
    [/^Strength/, "cannot tell"],
    [/^Hue/, "hardly bluer"],
  ] as const) {
    await cell.getByRole("group", { name: group }).getByRole("button", { name: word, exact: true }).tap();
  }
  const pastes = cell.getByRole("group", { name: "Paste that was dropped in" });
  await pastes.getByRole("button", { name: "Diarylide yellow" }).tap();
  // regression: the pair drawn for number 1 was made with this paste
  await expect.poll(() => textOf(cell)).toMatch(/Right: +\d+ drops +of Diarylide yellow/);
  expect(await accessibilityFaults(page)).toEqual([]);
  await cell.getByRole("button", { name: "Next pair" }).tap();
  await expect.poll(() => textOf(cell)).toContain("Pair 2");
  expect(problems).toEqual([]);
});
