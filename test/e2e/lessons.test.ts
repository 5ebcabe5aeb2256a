import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import type { AskedQuestion } from "../../cells/question/define.ts";
import { type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { quantityText } from "../../src/graph/askedQuantity.ts";
import { NotebookGraph } from "../../src/graph/notebookGraph.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { cellNamed, panelFigures, textOf } from "./demo.ts";
import { accessibilityFaults, notebookFolder, openPage } from "./harness.ts";
import { computed, lessons, openLesson, showAll } from "./lessonPage.ts";

/** Everything that can be read on the page, hidden or not: texts, attributes and what stands in fields. */
const everythingOn = (page: Page) =>
  page.evaluate(() => {
    const read = (node: Node): string => {
      if (node instanceof HTMLStyleElement || node instanceof HTMLScriptElement) return "";
      if (node.nodeType === Node.TEXT_NODE) return node.textContent ?? "";
      if (!(node instanceof Element || node instanceof Document)) return "";
      const attributes = node instanceof Element ? [...node.attributes].map(({ value }) => value) : [];
      const field =
        node instanceof HTMLInputElement || node instanceof HTMLTextAreaElement ? [node.value] : [];
      const shadow = node instanceof Element && node.shadowRoot ? [...node.shadowRoot.childNodes] : [];
      return [...attributes, ...field, ...[...shadow, ...node.childNodes].map(read)].join(" | ");
    };
    return read(document).replace(/\s+/g, " ");
  });

/** The number that answers each question of a lesson, as it is written where it is shown. */
async function answersOf(
  notebook: NotebookDocument,
): Promise<{ id: string; title: string; words: string }[]> {
  const graph = new NotebookGraph(registry, runDirect);
  graph.setCells(notebook.cells);
  await graph.settled();
  const found = notebook.cells.flatMap(({ id, kind, title, parameters }) => {
    if (kind !== "question") return [];
    const { answer, choices, right } = graph.lastValue(id) as AskedQuestion;
    // A change is told by the two numbers that it lies between.
    const [giver, number] = parameters.against ? String(parameters.quantity).split(":") : [];
    const given = notebook.cells.find((cell) => cell.id === giver);
    if (given) {
      const numbers = registry.get(given.kind)!.quantities!(graph.lastValue(given.id));
      return [
        { id, title, words: quantityText(numbers.find(({ name }) => name === number)!).replace(/\s+/g, " ") },
      ];
    }
    const shown = right === undefined ? undefined : choices[right]?.shown;
    return [{ id, title, words: (shown ?? quantityText(answer)).replace(/\s+/g, " ") }];
  });
  graph.dispose();
  return found;
}

const holds = (text: string, words: string) => {
  const literal = words.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
  return new RegExp(`(?<![\\d.,−-])${literal}(?![\\d]|[.,]\\d)`).test(text);
};

/** Changes of what lies under a lesson, so that each answer of it is a number that stands nowhere else. */
const madeUnique: Record<string, Record<string, Record<string, unknown>>> = {
  // The blend stood at a share that was also the width of the flat region.
  "lesson-2-grey-cream-or-both": { ground: { ratio: 0.23 } },
  // The last coat of one part was also the worst part of the plan.
  "lesson-4-coats-and-patience": { seats: { spectrum: null, grey: 85 } },
};

describe.each(lessons)("%s keeps its secret", (name) => {
  test("an answer is nowhere on the page until its question is answered, and there afterwards", async () => {
    const notebook = parseNotebook(readFileSync(`data/examples/${name}.json`, "utf8"));
    const cells = notebook.cells.map((cell) => ({
      ...cell,
      parameters: { ...cell.parameters, ...madeUnique[name]?.[cell.id] },
    }));
    const changed = { ...notebook, cells };
    writeFileSync(join(notebookFolder(), `secret-${name}.bole.json`), JSON.stringify(changed));
    const answers = await answersOf(changed);
    expect(new Set(answers.map(({ words }) => words)).size).toBe(answers.length);

    const { page, problems } = await openPage(`/?notebook=secret-${name}`);
    await computed(page);
    const open = new Set(answers.map(({ id }) => id));
    const told = async () => {
      const text = await everythingOn(page);
      return answers
        .filter(({ words }) => holds(text, words))
        .map(({ title, words }) => `${title}: ${words}`);
    };
    const skip = page.getByRole("button", { name: "Show it without a guess" });
    while (open.size > 0) {
      const isOpen = answers.filter(({ id }) => open.has(id)).map(({ title, words }) => `${title}: ${words}`);
      for (const media of ["print", "screen"] as const) {
        await page.emulateMedia({ media });
        expect(
          (await told()).filter((words) => isOpen.includes(words)),
          `${open.size} open, ${media}`,
        ).toEqual([]);
      }
      const next = await skip.first().evaluate((button) => {
        const view = (button.getRootNode() as ShadowRoot).host;
        return (view.getRootNode() as ShadowRoot).host.id.replace(/^cell-/, "");
      });
      await page.locator(`#cell-${next}`).getByRole("button", { name: "Show it without a guess" }).click();
      open.delete(next);
      await expect.poll(() => page.locator(`#cell-${next} .verdict`).count()).toBeGreaterThan(0);
      await computed(page);
    }
    expect(await told()).toEqual(answers.map(({ title, words }) => `${title}: ${words}`));
    expect(await page.locator("bole-cell .cover").count()).toBe(0);
    expect(problems).toEqual([]);
  });
});

describe("a lesson, taken", () => {
  test("predict, show, move, put back, and ask again; the answer stays after a reload", async () => {
    const { page, problems } = await openLesson("lesson-1-why-red-disappears");
    const asked = cellNamed(page, "Red light, no basecoat");
    const picture = cellNamed(page, "A cut through the film");
    await expect.poll(() => textOf(picture)).toMatch(/Covered until “ ?Red light, no basecoat ?”/);
    expect(await picture.locator("bole-view-layer-picture").count()).toBe(0);

    await asked.getByRole("button", { name: "Show the answer" }).focus();
    await page.keyboard.press("Enter");
    expect(await asked.locator(".verdict").count()).toBe(0); // nothing is shown before a prediction
    await asked.getByLabel("Most of it").check();
    await asked.getByRole("button", { name: "Show the answer" }).click();
    await expect.poll(() => textOf(asked)).toMatch(/Not so.*It is: Less than a third.*You said: Most of it/);
    const told = await asked.locator(".after").innerText();
    expect(told).toMatch(/Only \d+\.\d\s% comes back/);

    // The same picture answers the next question too.
    await expect.poll(() => textOf(picture)).toMatch(/Covered until “ ?The same light, over a light ground/);
    const next = cellNamed(page, "The same light, over a light ground");
    await next.getByRole("button", { name: "Show it without a guess" }).click();
    await expect.poll(() => textOf(picture)).toContain("At 630 nm");

    const slider = asked.getByLabel(/^Wavelength of the light \(/).first();
    await slider.focus();
    await page.keyboard.press("Home");
    await expect.poll(() => textOf(picture)).toContain("At 380 nm");
    await expect.poll(() => textOf(asked)).toMatch(/Now: comes back, no basecoat: \d\.\d\s%/);
    // What was told is of the moment it was told.
    expect(await asked.locator(".after").innerText()).toBe(told);
    await asked.getByRole("button", { name: "Put it back" }).click();
    await expect.poll(() => textOf(picture)).toContain("At 630 nm");

    await expect.poll(() => textOf(page.locator("bole-workbench"))).toContain("✓ Saved");
    await page.reload();
    await computed(page);
    await expect.poll(() => textOf(asked)).toContain("You said: Most of it");
    await asked.getByRole("button", { name: "Ask me again" }).click();
    await expect.poll(() => asked.locator(".verdict").count()).toBe(0);
    expect(await asked.getByLabel("Most of it").isChecked()).toBe(false);
    expect(problems).toEqual([]);
  });

  test("a number predicted near enough is right, and the panels follow the slider", async () => {
    const { page, problems } = await openLesson("lesson-2-grey-cream-or-both");
    const asked = cellNamed(page, "How much cream?");
    const typed = asked.getByLabel(/^Your prediction.*typed$/);
    await typed.fill("50");
    await typed.press("Enter");
    await asked.getByRole("button", { name: "Show the answer" }).click();
    await expect.poll(() => textOf(asked)).toMatch(/✓ Right\. Computed: 5\d\s%/);
    const before = await panelFigures(page);
    const ratio = asked.getByLabel(/^Share of the second paint .*typed$/);
    await ratio.fill("0.54");
    await ratio.press("Enter");
    await expect.poll(() => panelFigures(page)).not.toEqual(before);
    await expect.poll(() => textOf(asked)).toMatch(/Now: ΔE00 with the blend as it is now: 0\.2/);
    expect(problems).toEqual([]);
  });

  test("it can be shown without a guess", async () => {
    const { page, problems } = await openLesson("lesson-3-one-drop-at-a-time");
    const asked = cellNamed(page, "A drop of white");
    await asked.getByRole("button", { name: "Show it without a guess" }).click();
    await expect.poll(() => textOf(asked)).toMatch(/It is: Weaker/);
    expect(await textOf(asked)).not.toContain("You said");
    expect(problems).toEqual([]);
  });

  test("a question of one's own is set from the numbers of any cell", async () => {
    const { page, problems } = await openLesson("lesson-4-coats-and-patience");
    await page.getByRole("button", { name: "Add a cell here" }).last().click();
    await page.getByRole("button", { name: /^Question Predict/ }).click();
    const own = cellNamed(page, "Question");
    await own.getByText("Set this question").click();
    await own.getByLabel("Number asked").waitFor();
    await own.getByRole("button", { name: "Change links" }).click();
    await own.getByRole("checkbox", { name: "As planned, coat by coat" }).check();
    for (const other of await own.getByRole("checkbox").all()) {
      const name = await other.evaluate((box) => box.closest("label")?.textContent?.trim());
      if (name !== "As planned, coat by coat" && (await other.isChecked())) await other.uncheck();
    }
    await own.getByLabel("Number asked").selectOption({ label: "dry thickness of the whole film" });
    const text = own.getByRole("textbox", { name: "Question", exact: true });
    await text.fill("How thick is the film, if the basecoat has {basecoat-dry}?");
    await text.blur();
    await expect.poll(() => textOf(own)).toMatch(/has 20\.0\sµm/);
    await own.getByRole("button", { name: "Show it without a guess" }).click();
    await expect.poll(() => textOf(own)).toMatch(/Computed: 45\.6\sµm/);
    await text.fill("And {nonsense}?");
    await text.blur();
    await expect.poll(() => textOf(own)).toContain('no number called "nonsense"');
    expect(problems).toEqual([]);
  });
});

describe("words that explain themselves", () => {
  test("by tap and by key; Escape and a tap elsewhere close them; they stay in the window", async () => {
    const { page, problems } = await openLesson("lesson-1-why-red-disappears", {
      width: 390,
      hasTouch: true,
    });
    await cellNamed(page, "Red light, no basecoat")
      .getByRole("button", { name: "Show it without a guess" })
      .click();
    const asked = cellNamed(page, "The same light, over a light ground");
    const word = asked.locator("bole-term", { hasText: "basecoat" }).first();
    const meaning = word.locator("[popover]");
    await word.locator("button").tap();
    await expect.poll(() => meaning.isVisible()).toBe(true);
    expect(await meaning.innerText()).toMatch(/^A light, well-hiding coat under the colour/);
    const box = (await meaning.boundingBox())!;
    expect(box.x).toBeGreaterThanOrEqual(0);
    expect(box.x + box.width).toBeLessThanOrEqual(390);
    expect(await accessibilityFaults(page)).toEqual([]);
    await page.touchscreen.tap(4, box.y > 300 ? 100 : box.y + box.height + 20);
    await expect.poll(() => meaning.isVisible()).toBe(false);
    await word.locator("button").focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => meaning.isVisible()).toBe(true);
    await page.keyboard.press("Escape");
    await expect.poll(() => meaning.isVisible()).toBe(false);
    expect(problems).toEqual([]);
  });

  test("every cell explains itself, with its terms", async () => {
    const { page, problems } = await openPage("/?notebook=lesson-1-why-red-disappears");
    await computed(page);
    const picture = cellNamed(page, "A cut through the film");
    await picture.getByRole("button", { name: "What is this?" }).click();
    await expect.poll(() => textOf(picture)).toContain("A cut through the painted part");
    await expect.poll(() => picture.locator("bole-about-cell bole-term").count()).toBeGreaterThan(1);
    expect(problems).toEqual([]);
  });
});

describe("the layer picture moves only where motion is welcome", () => {
  const flows = (page: Page) => cellNamed(page, "A cut through the film").locator(".flow");
  const again = (page: Page) =>
    cellNamed(page, "A cut through the film").getByRole("button", { name: "Let the light run again" });

  test("with motion: a few seconds, then at rest, and again when asked", async () => {
    const { page, problems } = await openLesson("lesson-1-why-red-disappears", {
      reducedMotion: "no-preference",
    });
    await showAll(page);
    await cellNamed(page, "A cut through the film").scrollIntoViewIfNeeded();
    await expect.poll(() => flows(page).count()).toBeGreaterThan(3);
    const seconds = await flows(page)
      .first()
      .evaluate((ray) => {
        const { animationDuration, animationIterationCount } = getComputedStyle(ray);
        return Number.parseFloat(animationDuration) * Number(animationIterationCount);
      });
    expect(seconds).toBeLessThanOrEqual(5); // source: WCAG 2.1, 2.2.2: motion over five seconds needs a pause
    const moving = () =>
      flows(page).evaluateAll((rays) => rays.filter((ray) => ray.getAnimations().length > 0).length);
    await expect.poll(moving, { timeout: 10_000 }).toBe(0);
    await again(page).click();
    await expect.poll(moving).toBeGreaterThan(3);
    expect(problems).toEqual([]);
  });

  test("without motion: none, and no button for it", async () => {
    const { page, problems } = await openLesson("lesson-1-why-red-disappears", {
      reducedMotion: "reduce",
    });
    await showAll(page);
    await expect.poll(() => textOf(cellNamed(page, "A cut through the film"))).toContain("At 630 nm");
    expect(await flows(page).count()).toBe(0);
    expect(await again(page).count()).toBe(0);
    expect(problems).toEqual([]);
  });
});
