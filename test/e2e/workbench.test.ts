import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { thorough } from "../howMuch.ts";
import { cellNamed, demo, openDemo, opened, panelFigures, textOf } from "./demo.ts";
import { accessibilityFaults, notebookFolder, openPage } from "./harness.ts";

describe("the demo in a real browser", () => {
  test("a cell that is to begin again looks as it did when it was new", async () => {
    const { page, problems } = await openDemo();
    await page.getByRole("button", { name: "Add a cell here" }).last().click();
    await page.getByRole("button", { name: /^Target / }).click();
    const target = cellNamed(page, "Target");
    const known = target.getByLabel("Known as");
    const looks = () =>
      target.evaluate((frame) => ({
        state: frame.shadowRoot!.querySelector(".state")!.textContent,
        opacity: getComputedStyle(frame.shadowRoot!.querySelector(".body")!).opacity,
        panels: frame
          .shadowRoot!.querySelector("bole-view-target")!
          .shadowRoot!.querySelectorAll("bole-swatch").length,
      }));
    await known.waitFor();
    const asNew = await looks();
    expect(asNew).toMatchObject({ state: expect.stringContaining("to begin"), opacity: "1" });
    await known.selectOption({ label: "A Lab reading" });
    await expect.poll(looks).toMatchObject({ state: expect.stringContaining("ready") });
    await known.selectOption({ label: "A measured spectrum" });
    await expect.poll(looks).toEqual(asNew);
    expect(problems).toEqual([]);
  });

  test("the ratio moves panels, differences, curves and sweep within one frame", async () => {
    const { page, problems } = await openDemo();
    const before = await panelFigures(page);
    expect(before.length).toBe(7);
    await cellNamed(page, "Which blend?").scrollIntoViewIfNeeded();
    await cellNamed(page, "Which blend?").locator("bole-chart .picture svg").waitFor();
    const moved = await page.evaluate(async () => {
      const inside = (root: ParentNode, selector: string): Element | null => {
        const direct = root.querySelector(selector);
        if (direct) return direct;
        for (const element of root.querySelectorAll("*")) {
          const found = element.shadowRoot && inside(element.shadowRoot, selector);
          if (found) return found;
        }
        return null;
      };
      const slider = inside(document, "bole-view-basecoat-blend")!
        .shadowRoot!.querySelector("bole-slider")!
        .shadowRoot!.querySelector("input[type=range]") as HTMLInputElement;
      const shown = () => {
        const sweep = inside(document, "bole-view-ratio-sweep")!.shadowRoot!;
        return {
          panels: inside(document, "bole-panels")!.shadowRoot!.textContent,
          colours: [...inside(document, "bole-panels")!.shadowRoot!.querySelectorAll<HTMLElement>(".half")]
            .map((half) => half.style.background)
            .join(),
          verdict: sweep.querySelector(".verdict")!.textContent,
          chart: sweep.querySelector("bole-chart")!.shadowRoot!.querySelector(".picture svg")!.outerHTML,
          coverage: inside(document, "bole-view-coverage")!.shadowRoot!.querySelector(".verdict")!
            .textContent,
        };
      };
      const start = shown();
      slider.value = "0.55";
      slider.dispatchEvent(new Event("input", { bubbles: true, composed: true }));
      // The runtime asked for the next frame first; this callback runs after it, still before that frame is painted.
      await new Promise(requestAnimationFrame);
      const end = shown();
      return Object.entries(start).map(
        ([name, text]) => [name, text !== end[name as keyof typeof end]] as const,
      );
    });
    expect(moved).toEqual([
      ["panels", true],
      ["colours", true],
      ["verdict", true],
      ["chart", true],
      ["coverage", true],
    ]);
    const after = await panelFigures(page);
    // After the target each part with its basecoat and then without; without, nothing may change with the ratio.
    const [painted, bare] = [1, 0].map(
      (odd) => (figures: string[]) => figures.slice(1).filter((_, at) => at % 2 !== odd),
    );
    expect(painted(after).every((text) => text.includes("passes"))).toBe(true);
    expect(bare(after).sort()).toEqual(bare(before).sort());
    expect(problems).toEqual([]);
  });

  test("pressing the chart sets the ratio, by key as well", async () => {
    const { page, problems } = await openDemo();
    const sweep = cellNamed(page, "Which blend?");
    await sweep.scrollIntoViewIfNeeded();
    await sweep.getByRole("button", { name: "Take the best ratio" }).click();
    await expect.poll(() => sweep.locator(".verdict").innerText()).toMatch(/Now: 5\d\s%, ΔE00 0\.\d\d/);
    await expect.poll(() => page.locator(".saved").innerText()).toContain("Saved");
    expect(problems).toEqual([]);
  });

  test("a measured CSV becomes the target; a bad one says what is wrong and changes nothing", async () => {
    const { page, problems } = await openDemo();
    const target = cellNamed(page, "Poppy red, unfaded");
    await target.getByText("Another colour, and how this one was read").click();
    const file = target.locator("bole-file input[type=file]");
    const before = await panelFigures(page);
    await file.setInputFiles({
      name: "bad.csv",
      mimeType: "text/csv",
      buffer: Buffer.from("wavelength,R\n400,0.1\n410,red\n"),
    });
    await expect
      .poll(() =>
        target
          .getByRole("alert")
          .allInnerTexts()
          .then((texts) => texts.join(" ")),
      )
      .toMatch(/bad\.csv/);
    expect(await panelFigures(page)).toEqual(before);
    const rows = Array.from(
      { length: 36 },
      (_, i) => `${380 + 10 * i};${String(380 + 10 * i < 590 ? 4.5 : 52).replace(".", ",")}`,
    );
    await file.setInputFiles({
      name: "strip.csv",
      mimeType: "text/csv",
      buffer: Buffer.from(`nm;Strip 7\n${rows.join("\n")}\n`),
    });
    await expect.poll(() => textOf(target)).toContain("Strip 7");
    await expect.poll(() => panelFigures(page)).not.toEqual(before);
    expect(problems).toEqual([]);
  });

  test("a cut link: the blocked cells name the root, and relinking heals them", async () => {
    const { page, problems } = await openDemo();
    const coverage = cellNamed(page, "Coat by coat on every part");
    await coverage.getByRole("button", { name: "Change links" }).click();
    await coverage.getByLabel("Recipe", { exact: true }).selectOption("");
    await expect.poll(() => textOf(coverage)).toContain("Recipe is not linked");
    for (const title of ["Which blend?", "Where the light goes"]) {
      await expect
        .poll(() => textOf(cellNamed(page, title)))
        .toContain("Waits for “Coat by coat on every part” to be mended".replaceAll(/[“”]/g, '"'));
    }
    await coverage.getByLabel("Recipe", { exact: true }).selectOption({ label: "The red" });
    await expect.poll(() => textOf(cellNamed(page, "Which blend?"))).toContain("Best:");
    expect(problems).toEqual([]);
  });

  test("fit to target brings a spoilt recipe back", async () => {
    const { page, problems } = await openDemo();
    const recipe = cellNamed(page, "The red");
    const typed = recipe.getByLabel("Pyrrole red, typed");
    await typed.fill("2");
    await typed.press("Enter");
    await expect.poll(() => textOf(recipe)).toMatch(/As planned on[\s\S]*ΔE00 \d\d?\.\d/);
    await recipe.getByRole("button", { name: "Fit to target" }).click();
    await expect
      .poll(async () => Number((await textOf(recipe)).match(/As planned on[^Δ]*ΔE00 ([\d.]+)/)?.[1]), {
        timeout: 20_000,
      })
      .toBeLessThan(1.4);
    expect(problems).toEqual([]);
  });

  test("cells can be added, renamed, duplicated, moved and removed; all of it is saved", async () => {
    const { page, problems } = await openDemo();
    await page.getByRole("button", { name: "Add a cell here" }).first().click();
    await page.getByRole("button", { name: /^Note Your own/ }).click();
    const note = cellNamed(page, "Note");
    await note.getByLabel("Title of this cell").fill("Reminder");
    await note.getByLabel("Title of this cell").press("Enter");
    const renamed = cellNamed(page, "Reminder");
    await renamed.getByRole("button", { name: "More for Reminder" }).click();
    await renamed.getByRole("button", { name: "Duplicate" }).click();
    await cellNamed(page, "Reminder 2").waitFor();
    await renamed.getByRole("button", { name: "More for Reminder" }).click();
    await renamed.getByRole("button", { name: "Move down" }).click();
    await renamed.getByRole("button", { name: "Remove…" }).click();
    await renamed.getByRole("button", { name: "Remove it" }).click();
    await expect.poll(() => renamed.count()).toBe(0);
    await expect.poll(() => page.locator(".saved").innerText()).toContain("Saved");
    await page.reload();
    await opened(page);
    expect(await cellNamed(page, "Reminder 2").count()).toBe(1);
    expect(await cellNamed(page, "Reminder").count()).toBe(0);
    expect(problems).toEqual([]);
  });

  const looks = [
    ["dark", 820],
    ["light", 1280],
    ["light", 390],
  ] as const;
  test.each(thorough ? looks : looks.slice(0, 1))(
    "axe finds nothing, in %s at %i px, and nothing sticks out",
    async (colorScheme, width) => {
      const { page, problems } = await openPage(demo, { colorScheme, width, height: 900 });
      await opened(page);
      expect(await accessibilityFaults(page)).toEqual([]);
      expect(
        await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        ),
      ).toBeLessThanOrEqual(0);
      expect(problems).toEqual([]);
    },
  );

  test("the file on disk is the notebook that is shown", async () => {
    const { page } = await openDemo();
    const name = new URL(page.url()).searchParams.get("notebook")!;
    const saved = JSON.parse(readFileSync(join(notebookFolder(), `${name}.bole.json`), "utf8"));
    expect(saved.title).toBe(await page.getByLabel("Title of the notebook").inputValue());
  });
});
