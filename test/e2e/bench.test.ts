import { describe, expect, test } from "vitest";
import { cutWords } from "./cutWords.ts";
import { cellNamed, openDemo, textOf } from "./demo.ts";
import { emptyRoom } from "./emptyRoom.ts";
import { examples } from "./examples.ts";
import { accessibilityFaults, atRest, openPage } from "./harness.ts";
import { computed, showAll } from "./lessonPage.ts";
import { causeAndEffect, isWholly, kept, sizes } from "./sight.ts";

describe.each(sizes)("cause and effect on one screen of $width × $height", (size) => {
  test("with the ratio in hand, panels, difference and curves are in sight; bars are small", async () => {
    const { page, problems } = await openDemo({ ...size, reducedMotion: "reduce" });
    await causeAndEffect(page, "Ground under the red", size);
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

describe("a page that uses its width", () => {
  test("the demo is no taller than some six windows, with everything open but supplies", async () => {
    const { page, problems } = await openDemo({ width: 1440, height: 900 });
    const folded = await page
      .locator("bole-cell[folded]")
      .evaluateAll((cells) => cells.map((cell) => (cell as unknown as { cell: { kind: string } }).cell.kind));
    expect(
      folded.filter((kind) => !["viewing", "pigment-set", "substrate", "coat-plan"].includes(kind)),
    ).toEqual([]);
    await page.waitForFunction(() => {
      const cells = [...document.querySelector("bole-workbench")!.shadowRoot!.querySelectorAll("bole-cell")];
      return cells.every((cell) => cell.hasAttribute("filled") || cell.hasAttribute("folded"));
    });
    await atRest(page);
    // common practice: what is compared is found without a search
    expect(await page.evaluate(() => document.documentElement.scrollHeight)).toBeLessThanOrEqual(6000);
    expect(problems).toEqual([]);
  });

  test("what is compared stands side by side", async () => {
    const { page } = await openDemo({ width: 820, height: 1180 });
    const [first, second] = await cellNamed(page, "Where the light goes").locator("bole-chart").all();
    const [a, b] = [(await first.boundingBox())!, (await second.boundingBox())!];
    expect(Math.abs(a.y - b.y)).toBeLessThan(2);
    expect(b.x).toBeGreaterThan(a.x + a.width - 1);
  });
});

// common practice: more empty room than that reads as something missing
describe("no cell shows a third of its area empty", () => {
  test.each(examples)("%s", async (name) => {
    const { page } = await openPage(`/?notebook=${name}`, {
      width: 1440,
      height: 900,
      reducedMotion: "reduce",
    });
    await computed(page);
    await atRest(page);
    expect(await emptyRoom(page, 1 / 3)).toEqual([]);
  });
});

describe("adding a cell", () => {
  test("stands under its question, is found by a few letters, and comes into full view", async () => {
    const { page, problems } = await openDemo({ width: 1440, height: 900 });
    const add = page.getByRole("button", { name: "Add a cell here" });
    await add.last().focus();
    await page.keyboard.press("Enter");
    const chooser = page.getByRole("group", { name: "Add a cell" });
    await expect.poll(() => chooser.getByRole("heading").allInnerTexts()).toContain("Most likely next");
    expect(await chooser.getByRole("heading").allInnerTexts()).toContain("What does the job take?");
    expect(await accessibilityFaults(page)).toEqual([]);
    // The letters stand where the focus is.
    await page.keyboard.type("how sure");
    await expect.poll(() => chooser.locator(".kinds button").count()).toBe(1);
    await page.keyboard.press("Escape");
    await expect.poll(() => chooser.count()).toBe(0);
    await page.keyboard.press("Enter");
    await page.keyboard.type("how sure");
    await page.keyboard.press("Enter");
    const added = cellNamed(page, "How sure are we?");
    await added.waitFor();
    await atRest(page);
    const { top, bar } = await added.evaluate((cell) => ({
      top: cell.getBoundingClientRect().top,
      bar: document
        .querySelector("bole-workbench")!
        .shadowRoot!.querySelector(".top")!
        .getBoundingClientRect().bottom,
    }));
    expect(top).toBeGreaterThanOrEqual(bar - 1);
    expect(problems).toEqual([]);
  });
});

describe("a lesson's picture", () => {
  test("is covered until the question is answered, then stands in sight beside the slider", async () => {
    const { page, problems } = await openPage("/?notebook=lesson-2-grey-cream-or-both", {
      width: 1440,
      height: 900,
      reducedMotion: "reduce",
    });
    await computed(page);
    const picture = page.locator("bole-kept-piece").first();
    await expect.poll(() => textOf(picture)).toMatch(/Covered until/);
    await showAll(page);
    const curve = kept(page, /against the basecoat ratio/)
      .first()
      .locator("bole-chart .picture svg");
    await curve.waitFor();
    const slider = cellNamed(page, "How much cream?")
      .getByLabel(/^Share of the second paint/)
      .first();
    await slider.scrollIntoViewIfNeeded();
    await atRest(page);
    expect(await isWholly(slider), "slider").toBe(true);
    expect(await isWholly(curve), "curve").toBe(true);
    const before = await curve.innerHTML();
    await slider.focus();
    await page.keyboard.press("PageUp");
    await expect.poll(() => curve.innerHTML()).not.toBe(before);
    expect(problems).toEqual([]);
  });
});

// common practice: a phone, a narrow window, a tablet, a small and a usual desk, and the last magnified twice
const looks = [
  { width: 390, height: 844 },
  { width: 640, height: 900 },
  { width: 820, height: 1180 },
  { width: 1024, height: 768 },
  { width: 1440, height: 900 },
  { width: 720, height: 450, deviceScaleFactor: 2 },
];

describe.each(looks)("captions and labels at $width × $height", (look) => {
  test("are whole, also with letters an eighth narrower and wider", async () => {
    const { page } = await openDemo({ ...look, reducedMotion: "reduce" });
    await page.locator("bole-kept-piece").first().waitFor({ state: "attached" });
    for (const spacing of ["normal", "-0.06em", "0.06em"]) {
      await page.evaluate((wide) => {
        document.documentElement.style.letterSpacing = wide;
      }, spacing);
      await atRest(page);
      expect(await cutWords(page), `letters ${spacing}`).toEqual([]);
    }
  });
});
