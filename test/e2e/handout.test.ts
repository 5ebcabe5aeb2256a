import { readFile, stat, writeFile } from "node:fs/promises";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { parseNotebook } from "../../src/document/notebook.ts";
import { notebookInPage } from "../../src/document/savedPage.ts";
import { examples } from "./examples.ts";
import { accessibilityFaults, notebookFolder, openPage } from "./harness.ts";
import { allLive, example, handed, openSaved, ownFolder, savePage } from "./savedPage.ts";
import { closeBrowser, launchBrowser } from "./workbenchPage.ts";

let browser: Browser;
let folder: string;
let remove: () => Promise<void>;
let demo: string;

beforeAll(async () => {
  browser = await launchBrowser();
  ({ folder, remove } = await ownFolder());
  demo = await savePage(folder, example("the-lantern-room"));
});
afterAll(async () => {
  if (browser) await closeBrowser(browser);
  await remove?.();
});

const notebookOf = async (path: string) => parseNotebook((await readFile(path, "utf8")).trim());
const notebookBack = async (page: string) =>
  parseNotebook(notebookInPage(await readFile(page, "utf8")) ?? "");

describe("a saved page, from the disk and with the network cut", () => {
  test("the demo lives: its slider is answered in panels and figures, and nothing is asked of anyone", async () => {
    const { page, problems } = await openSaved(browser, demo);
    await allLive(page);
    await expect(page.locator("#bole-still").count()).resolves.toBe(0);
    const verdict = handed(page, "Coat by coat on every part").locator(".verdict");
    const before = await verdict.innerText();
    const slider = handed(page, "Ground under the red").getByRole("slider");
    await slider.focus();
    for (let k = 0; k < 8; k++) await page.keyboard.press("ArrowRight");
    await expect.poll(() => verdict.innerText()).not.toBe(before);
    expect(await page.locator("bole-panels .figure").allInnerTexts()).toEqual(
      expect.arrayContaining([expect.stringMatching(/^ΔE00 \d/)]),
    );
    // What was moved goes back by one press.
    await page.getByRole("button", { name: "Put everything back" }).click();
    await expect.poll(() => verdict.innerText()).toBe(before);
    expect(problems).toEqual([]);
  });

  test("nothing of the notebook can be changed but what may be moved", async () => {
    const path = await savePage(folder, example("the-lantern-room"), "--move", "ground.ratio");
    const { page, problems } = await openSaved(browser, path);
    await allLive(page);
    await expect.poll(() => handed(page, "Ground under the red").getByRole("slider").isEnabled()).toBe(true);
    const sliders = handed(page, "The red").getByRole("slider");
    await expect.poll(() => sliders.count()).toBeGreaterThan(1);
    for (const one of await sliders.all()) expect(await one.isDisabled()).toBe(true);
    for (const name of ["Edit the note", "Fit to the target", "Add a cell here", "Remove…"])
      await expect(page.getByRole("button", { name }).filter({ visible: true }).count()).resolves.toBe(0);
    expect(problems).toEqual([]);
  });

  test("a lesson asks, keeps its secret and reveals", async () => {
    const path = await savePage(folder, example("lesson-1-why-red-disappears"));
    const { page, problems } = await openSaved(browser, path);
    await allLive(page);
    const covered = page.getByText(/^Covered until/);
    await expect.poll(() => covered.count()).toBeGreaterThan(0);
    const skip = page.getByRole("button", { name: "Show it without a guess" });
    const shown = page.locator("bole-handed-cell .verdict[role=status]");
    while ((await skip.count()) > 0) {
      const before = await shown.count();
      await skip.first().click();
      await expect.poll(() => shown.count()).toBeGreaterThan(before);
    }
    await expect.poll(() => covered.count()).toBe(0);
    expect(await shown.first().innerText()).toContain("It is:");
    await expect
      .poll(() => handed(page, "Where the light goes").locator(".verdict").innerText())
      .toMatch(/%/);
    await expect(page.getByText("Set this question").filter({ visible: true }).count()).resolves.toBe(0);
    expect(problems).toEqual([]);
  });

  test("where nothing may be moved, a lesson is answered all the same, and its slider stands still", async () => {
    const path = await savePage(folder, example("lesson-1-why-red-disappears"), "--move", "nothing");
    const { page, problems } = await openSaved(browser, path);
    await allLive(page);
    const question = handed(page, "Red light, no basecoat");
    await question.getByText("Less than a third").click();
    await question.getByRole("button", { name: "Show the answer" }).click();
    await expect.poll(() => question.locator(".verdict").innerText()).toContain("Right");
    await expect.poll(() => question.locator(".mover").getByRole("slider").isDisabled()).toBe(true);
    expect(problems).toEqual([]);
  });

  test("a job computes hours, price and its sheet", async () => {
    const path = await savePage(folder, example("from-colour-to-job"));
    const { page, problems } = await openSaved(browser, path);
    await allLive(page);
    const quote = handed(page, "Quote: one red for the Lantern Room").locator(".verdict").first();
    await expect.poll(() => quote.innerText()).toMatch(/with tax/);
    const before = await quote.innerText();
    await handed(page, "Light coats, then fuller ones")
      .getByRole("button", { name: /^Unfold/ })
      .click();
    await handed(page, "Light coats, then fuller ones")
      .getByRole("button", { name: /more$/ })
      .first()
      .click();
    await expect.poll(() => quote.innerText()).not.toBe(before);
    expect(problems).toEqual([]);
  });

  test.each([
    ["in a worker", undefined],
    ["on the page itself, where there are no workers", () => void Reflect.deleteProperty(window, "Worker")],
  ] as const)("long work is done %s", async (_, before) => {
    const path = await savePage(folder, example("choose-the-ground"), "--show", "ground,how-sure");
    const { page, problems, workers } = await openSaved(browser, path, { before });
    await allLive(page);
    await expect
      .poll(() => handed(page, "An uneven hand").locator(".verdict").first().innerText(), { timeout: 60_000 })
      .toMatch(/\d/);
    expect(workers.length > 0).toBe(before === undefined);
    expect(problems).toEqual([]);
  });

  test("where scripts do not run, panels and figures stand there, and the page says so", async () => {
    const { page, problems } = await openSaved(browser, demo, { javaScriptEnabled: false });
    await expect.poll(() => page.getByText("Scripts do not run here.").isVisible()).toBe(true);
    const panel = page.locator("#bole-still li", { hasText: "Corner bolsters, no basecoat" });
    expect(await panel.innerText()).toMatch(/ΔE00 \d/);
    // The picture of a panel is as large as its style says: the style sheet holds under the policy.
    expect((await panel.locator("svg").boundingBox())?.height).toBe(64); // identity: page.css
    expect(problems).toEqual([]);
  });

  test("what was left out is nowhere, and what took from it says that it stays as it was", async () => {
    const path = await savePage(folder, example("the-lantern-room"), "--leave-out", "rack");
    expect(await readFile(path, "utf8")).not.toContain("The rack of pastes");
    const { page, problems } = await openSaved(browser, path);
    const cover = page.getByRole("region", { name: "Coat by coat on every part" });
    await expect.poll(() => cover.innerText()).toMatch(/ΔE00[\s\S]*stays as it was when this page was saved/);
    expect(problems).toEqual([]);
  });

  test("hostile words run nothing", async () => {
    const words = `</script><script>document.title="taken"</script><img src=x onerror="alert(1)"><svg onload=alert(1)> [x](javascript:alert(1))`;
    const notebook = join(folder, "hostile.bole.json");
    const cell = (id: string) => ({
      id,
      kind: "note",
      title: words.slice(0, 200),
      parameters: { text: words },
      inputs: {},
    });
    await writeFile(
      notebook,
      JSON.stringify({
        format: "bole-notebook",
        version: 2,
        title: words.slice(0, 200),
        cells: [cell("a"), cell("b")],
      }),
    );
    const { page, problems } = await openSaved(browser, await savePage(folder, notebook));
    await allLive(page);
    expect(await page.title()).not.toBe("taken");
    expect(await page.locator("bole-handout").locator("img, script, [onerror], [onload]").count()).toBe(0);
    expect(problems).toEqual([]);
  });

  test("no example needs more than 2 MB", async () => {
    for (const name of examples) {
      const path = await savePage(folder, example(name));
      expect([name, (await stat(path)).size <= 2_000_000]).toEqual([name, true]);
    }
  });

  test.each([
    ["the-lantern-room", 1280, "light"],
    ["lesson-1-why-red-disappears", 390, "dark"],
  ] as const)(
    "%s at %i px, %s, is without faults and no wider than the window",
    async (name, width, colorScheme) => {
      const path = await savePage(folder, example(name));
      const { page } = await openSaved(browser, path, { viewport: { width, height: 844 }, colorScheme });
      await allLive(page);
      expect(await accessibilityFaults(page)).toEqual([]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    },
  );

  test("its sheet is handed over as a file, and charts as pictures and numbers", async () => {
    const path = await savePage(folder, example("from-colour-to-job"));
    const { page, problems } = await openSaved(browser, path);
    await allLive(page);
    const sheet = page.waitForEvent("download");
    await page.getByRole("button", { name: "Save the job sheet as a file" }).click();
    expect((await sheet).suggestedFilename()).toBe("job-sheet.html");
    await handed(page, "Poppy red, unfaded").getByText("Save…").click();
    const numbers = page.waitForEvent("download");
    await page.getByRole("button", { name: "CSV" }).click();
    expect((await numbers).suggestedFilename()).toMatch(/\.csv$/);
    expect(problems).toEqual([]);
  });
});

describe("there and back", () => {
  test("a page that is taken in gives the notebook with nothing lost", async () => {
    const { page, problems } = await openPage("/");
    await page.getByText("All notebooks, and notebooks from files").click();
    await page.locator("bole-notebooks input[type=file]").setInputFiles(demo);
    await expect.poll(() => page.url()).toMatch(/notebook=/);
    const name = new URL(page.url()).searchParams.get("notebook");
    const saved = await notebookOf(join(notebookFolder(), `${name}.bole.json`));
    expect(saved).toEqual(await notebookOf(example("the-lantern-room"))); // identity: nothing was left out
    expect(problems).toEqual([]);
  });

  test("the workbench saves a page, without what was left out", async () => {
    const { page, problems } = await openPage("/?notebook=the-lantern-room");
    await page.locator("bole-cell[filled]").first().waitFor();
    await page.getByRole("button", { name: "Notebooks" }).click();
    await page.getByRole("button", { name: "Save as a page…" }).click();
    const panel = page.locator("bole-handout-panel");
    await panel.getByRole("button", { name: "Save the page" }).waitFor();
    expect(await accessibilityFaults(page)).toEqual([]);
    await panel.getByRole("button", { name: "Leave out the notes" }).click();
    await panel.getByLabel("On the balance: in the page").selectOption("is left out");
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      panel.getByRole("button", { name: "Save the page" }).click(),
    ]);
    expect(download.suggestedFilename()).toBe("the-lantern-room.html");
    const path = join(folder, "from-the-workbench.html");
    await download.saveAs(path);
    const back = await notebookBack(path);
    const whole = await notebookOf(example("the-lantern-room"));
    expect(back.cells).toEqual(whole.cells.filter(({ id }) => id !== "welcome" && id !== "weigh"));
    const opened = await openSaved(browser, path);
    await allLive(opened.page);
    expect([...problems, ...opened.problems]).toEqual([]);
  });
});
