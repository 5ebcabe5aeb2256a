import { copyFile, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { Download, Locator, Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import { cellNamed, paintedFigures, panelFigures, textOf, unfolded } from "./demo.ts";
import { accessibilityFaults, atRest, notebookFolder, openPage } from "./harness.ts";

const uneven = "An uneven hand";
const paints = "Which paints?";
const three = "Three base paints at once";
const joint = "Ratio, recipe and coats together";

let copies = 0;

/** Open a copy of the example under a name of its own, so that tests do not disturb one another. */
async function openExample(options: Parameters<typeof openPage>[1] = {}) {
  const name = `ground-${++copies}`;
  const folder = notebookFolder();
  await copyFile(join(folder, "choose-the-ground.bole.json"), join(folder, `${name}.bole.json`));
  const window = await openPage(`/?notebook=${name}`, options);
  await ready(window.page);
  return window;
}

async function ready(page: Page): Promise<void> {
  await page.locator("bole-panels .figure").first().waitFor();
  await expect.poll(() => cellNamed(page, uneven).locator(".verdict").innerText()).toMatch(/best blend/);
}

/** Ask a cell to act and wait until it is done; how long that took, ms. */
async function act(cell: Locator, button: string | RegExp, shows: string | RegExp): Promise<number> {
  const start = performance.now();
  await cell.getByRole("button", { name: button }).click();
  await cell.getByText(shows).first().waitFor({ timeout: 40_000 });
  await cell.getByRole("button", { name: "Stop" }).waitFor({ state: "detached" });
  return performance.now() - start;
}

async function saved(page: Page, chart: Locator, way: string): Promise<{ name: string; bytes: Buffer }> {
  await chart.getByRole("button", { name: /^Save this chart/ }).click();
  const waiting = page.waitForEvent("download");
  await chart.getByRole("button", { name: way }).click();
  const download: Download = await waiting;
  return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
}

describe("choosing the ground in a real browser", () => {
  test("sweep another parameter; save its numbers, and a chart as it looks", async () => {
    const { page, problems } = await openExample();
    const whatIf = cellNamed(page, "Ratio and coats together");
    await whatIf.getByLabel("And against").selectOption({ label: "nothing else: a curve" });
    await whatIf
      .getByLabel("Against", { exact: true })
      .selectOption({ label: "Wet thickness of one basecoat" });
    await expect
      .poll(() => whatIf.locator(".verdict").innerText())
      .toMatch(/at wet thickness of one basecoat [\d.]+ µm/i);
    const { name, bytes } = await saved(page, whatIf.locator("bole-chart"), "Numbers (CSV)");
    expect(name).toMatch(/\.csv$/);
    const lines = bytes.toString("utf8").trim().split("\r\n");
    expect(lines[0]).toBe('"Wet thickness of one basecoat, µm",ΔE00 of the worst part');
    expect(lines.length).toBeGreaterThan(20);
    expect(Number(lines[5].split(",")[1])).toBeGreaterThan(0);

    const chart = cellNamed(page, uneven).locator("bole-chart").first();
    await chart.scrollIntoViewIfNeeded();
    await chart.locator(".picture svg").waitFor();
    for (const [colorScheme, paper] of [
      ["light", "#fafafa"],
      ["dark", "#1b1b1b"],
    ] as const) {
      await page.emulateMedia({ colorScheme });
      const svg = await saved(page, chart, "Picture (SVG)");
      const text = svg.bytes.toString("utf8");
      expect(svg.name).toMatch(/^delta-e00-of-the-worst-part.*\.svg$/);
      expect(text).toMatch(/^<svg [^>]*xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
      expect(text).not.toContain("var(");
      expect(text).toContain("<title>ΔE00 of the worst part");
      expect(text).toContain(`fill="${paper}"`);
      // It stands by itself: drawn alone, ink and paper differ.
      const shades = await page.evaluate(async (source) => {
        const image = new Image();
        image.src = `data:image/svg+xml,${encodeURIComponent(source)}`;
        await image.decode();
        const canvas = document.createElement("canvas");
        [canvas.width, canvas.height] = [image.width, image.height];
        const context = canvas.getContext("2d")!;
        context.drawImage(image, 0, 0);
        const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
        const found = new Set<number>();
        for (let i = 0; i < data.length; i += 4) found.add(data[i]);
        return { width: image.width, least: Math.min(...found), most: Math.max(...found) };
      }, text);
      expect(shades.width).toBeGreaterThan(500);
      expect(shades.least).toBeLessThan(40);
      expect(shades.most).toBeGreaterThan(230);
      const png = await saved(page, chart, "Picture (PNG)");
      expect(png.name).toMatch(/\.png$/);
      // source: PNG signature and header, ISO/IEC 15948: width at byte 16
      expect([...png.bytes.subarray(0, 8)]).toEqual([137, 80, 78, 71, 13, 10, 26, 10]);
      expect(png.bytes.readUInt32BE(16)).toBe(2 * shades.width);
      expect(png.bytes.length).toBeGreaterThan(10_000);
    }
    const csv = await saved(page, chart, "Numbers (CSV)");
    expect(csv.bytes.toString("utf8").split("\r\n")[0]).toBe(
      "share of Warm cream,ΔE00 as planned,ΔE00 on average,ΔE00 5 %,ΔE00 median,ΔE00 95 %",
    );
    expect(problems).toEqual([]);
  });

  test("press the map: every linked cell follows within a frame or says that it computes; one undo takes it back", async () => {
    const { page, problems } = await openExample();
    await unfolded(page, "Light coats, then fuller ones");
    const whatIf = cellNamed(page, "Ratio and coats together");
    await whatIf.scrollIntoViewIfNeeded();
    await whatIf.locator("bole-chart .picture svg").waitFor();
    await expect.poll(() => whatIf.locator(".verdict").innerText()).toMatch(/Least/);
    const before = await panelFigures(page);
    const moved = await page.evaluate(async () => {
      const seen = (selector: string, root: ParentNode = document): Element => {
        const direct = root.querySelector(selector);
        if (direct) return direct;
        for (const element of root.querySelectorAll("*")) {
          const found = element.shadowRoot && seen(selector, element.shadowRoot);
          if (found) return found;
        }
        return null as never;
      };
      const view = (tag: string) => seen(tag).shadowRoot!;
      const shown = () => ({
        panels: seen("bole-panels").shadowRoot!.textContent,
        basecoat: view("bole-view-basecoat-blend").querySelector(".verdict")!.textContent,
        plan: view("bole-view-coat-plan").querySelector(".verdict")!.textContent,
        coverage: view("bole-view-coverage").querySelector(".verdict")!.textContent,
        sweep: view("bole-view-ratio-sweep").querySelector(".verdict")!.textContent,
        triangle: view("bole-view-three-paints").querySelector(".verdict")!.textContent,
      });
      const states = () => {
        const marks: string[] = [];
        const walk = (root: ParentNode) => {
          for (const element of root.querySelectorAll("*")) {
            if (element.matches(".state")) marks.push(element.textContent!.trim());
            if (element.shadowRoot) walk(element.shadowRoot);
          }
        };
        walk(document);
        return marks;
      };
      const start = shown();
      const picture = view("bole-view-what-if")
        .querySelector("bole-chart")!
        .shadowRoot!.querySelector(".picture")!;
      const box = picture.getBoundingClientRect();
      const at = { clientX: box.left + box.width * 0.62, clientY: box.top + box.height * 0.35 };
      picture.dispatchEvent(
        new PointerEvent("pointerdown", { ...at, button: 0, bubbles: true, composed: true }),
      );
      // The runtime asked for the next frame first; this callback runs after it, still before that frame is painted.
      await new Promise(requestAnimationFrame);
      const end = shown();
      return {
        changed: Object.entries(start).map(([name, text]) => [name, text !== end[name as keyof typeof end]]),
        computing: states().filter((mark) => mark.includes("computing")).length,
      };
    });
    expect(moved.changed).toEqual([
      ["panels", true],
      ["basecoat", true],
      ["plan", true],
      ["coverage", true],
      ["sweep", true],
      ["triangle", true],
    ]);
    // The map itself and the uneven hand take longer: they say so.
    expect(moved.computing).toBeGreaterThanOrEqual(1);
    await expect.poll(() => textOf(cellNamed(page, uneven))).toContain("ready");
    expect(await panelFigures(page)).not.toEqual(before);
    await page.keyboard.press("Control+z");
    await expect.poll(() => panelFigures(page)).toEqual(before);
    expect(problems).toEqual([]);
  });

  test("many jobs played out, a second opinion, and nothing below them moves", async () => {
    const { page, problems } = await openExample();
    const cell = cellNamed(page, uneven);
    await cell.scrollIntoViewIfNeeded();
    const below = cell.getByRole("heading", { name: "A spot that the basecoat has missed" });
    const offset = async () => {
      const [head, mark] = await Promise.all([cell.boundingBox(), below.boundingBox()]);
      return mark!.y - head!.y;
    };
    await cell.locator("bole-chart .picture svg").first().waitFor();
    const before = await offset();
    const playing = await act(cell, "Play out 10,000 jobs", /Of 10,000 jobs like this/);
    expect(await textOf(cell)).toMatch(/Most of it, \d\d\s%, comes from the colour film build/);
    expect(Math.abs((await offset()) - before)).toBeLessThan(1);
    const asking = await act(cell, "Ask exact light transport", /The film theory \(two fluxes\)/);
    console.log(
      `in the page: 10,000 jobs ${playing.toFixed(0)} ms, second opinion ${asking.toFixed(0)} ms (with clicks)`,
    );
    await cell.getByRole("button", { name: "Take the safest ratio" }).click();
    await expect.poll(() => textOf(cell)).toContain("From an earlier question");
    expect(Math.abs((await offset()) - before)).toBeLessThan(1);
    await expect
      .poll(async () => (await paintedFigures(page)).every((text) => text.includes("passes")))
      .toBe(true);
    expect(problems).toEqual([]);
  });

  test("a Monte Carlo can be stopped at once, by keyboard, and leaves nothing behind", async () => {
    const { page, problems } = await openExample();
    const cell = cellNamed(page, uneven);
    await cell.getByText("How uneven a hand, how exact the doses").click();
    const cases = cell.getByLabel("Jobs to play out", { exact: true });
    await cases.fill("300000");
    await cases.press("Enter");
    await cell.getByRole("button", { name: "Play out 300,000 jobs" }).focus();
    await page.keyboard.press("Enter");
    const stop = cell.getByRole("button", { name: "Stop" });
    await stop.waitFor();
    // Progress is told before the end.
    await expect.poll(() => cell.locator(".progress").innerText(), { timeout: 20_000 }).toMatch(/\d+ cases/);
    await stop.focus();
    const settled = await page.evaluate(async () => {
      const root = document.activeElement;
      let inner: Element | null = root;
      while (inner?.shadowRoot?.activeElement) inner = inner.shadowRoot.activeElement;
      const frame = (inner!.getRootNode() as ShadowRoot).host.shadowRoot!;
      const start = performance.now();
      (inner as HTMLElement).click();
      while (frame.querySelector(".progress")) await new Promise(requestAnimationFrame);
      return performance.now() - start;
    });
    console.log(`stopped after ${settled.toFixed(0)} ms`);
    expect(settled).toBeLessThan(250);
    expect(await textOf(cell)).not.toContain("jobs like this");
    // The workers are there for the next question.
    await cases.fill("2000");
    await cases.press("Enter");
    await act(cell, "Play out 2,000 jobs", /Of 2,000 jobs like this/);
    expect(problems).toEqual([]);
  });

  test("take a plan and take it back in one step; pour a blend off the triangle; take a ranked ground", async () => {
    const { page, problems } = await openExample();
    const plans = cellNamed(page, joint);
    console.log(
      `in the page: joint plan ${(await act(plans, "Find the leanest plan", /Leanest that passes/)).toFixed(0)} ms`,
    );
    const planless = await panelFigures(page);
    await plans.getByRole("button", { name: "Look at 2 basecoats, 2 light + 1 heavy" }).click();
    await expect.poll(() => plans.locator("h3").innerText()).toBe("2 basecoats, 2 light + 1 heavy");
    await plans.getByRole("button", { name: "Take this plan" }).click();
    await expect
      .poll(() => textOf(cellNamed(page, "Light coats, then fuller ones")))
      .toMatch(/2 light coats of 15 µm, then 1 heavy coat of 30 µm/);
    await expect
      .poll(async () => (await paintedFigures(page)).every((text) => text.includes("passes")))
      .toBe(true);
    expect(await plans.locator(".verdict").innerText()).toMatch(/Now: 1\.27 L to spray, ΔE00 0\.\d\d/);
    await page.keyboard.press("Control+z");
    await expect.poll(() => panelFigures(page)).toEqual(planless);

    const map = cellNamed(page, three);
    const picture = map.locator("bole-chart .picture");
    await picture.scrollIntoViewIfNeeded();
    await map.locator("bole-chart .picture svg").waitFor();
    const box = (await picture.boundingBox())!;
    await page.mouse.click(box.x + box.width / 2, box.y + box.height * 0.7);
    await expect
      .poll(() => textOf(cellNamed(page, "Ground under the red")))
      .toMatch(/with \d+\s%\s+of White/);
    const third = map.getByLabel("White in the whole").first();
    await expect.poll(async () => Number(await third.inputValue())).toBeGreaterThan(0.1);
    await map.getByRole("button", { name: "Take the best blend" }).click();
    await expect.poll(() => map.locator(".verdict").innerText()).toMatch(/Now: 0\.\d\d, passes/);

    const cell = cellNamed(page, paints);
    console.log(
      `in the page: 82 grounds ${(await act(cell, "Rank every ground", /82 grounds were tried/)).toFixed(0)} ms`,
    );
    await cell.getByLabel("Order by").selectOption({ label: "the least cost" });
    await cell.getByLabel("Order by").selectOption({ label: "the nearest colour" });
    const before = await panelFigures(page);
    await cell.getByRole("button", { name: "Take ground 1", exact: true }).click();
    await expect.poll(() => panelFigures(page)).not.toEqual(before);
    await expect
      .poll(async () => (await paintedFigures(page)).every((text) => text.includes("passes")))
      .toBe(true);
    expect(await textOf(cellNamed(page, "Ground under the red"))).toMatch(/with [\d.]+\s%\s+of\s+\S/);
    // The list answers the same question still.
    expect(await textOf(cell)).not.toContain("From an earlier question");
    expect(problems).toEqual([]);
  });

  test("axe finds nothing with every answer on show, in both themes, and nothing sticks out at three widths", async () => {
    const { page, problems } = await openExample();
    await act(cellNamed(page, uneven), /^Play out/, /jobs like this/);
    await act(cellNamed(page, uneven), "Ask exact light transport", /The film theory \(two fluxes\)/);
    await act(cellNamed(page, paints), "Rank every ground", /82 grounds were tried/);
    await act(cellNamed(page, joint), "Find the leanest plan", /Leanest that passes/);
    await cellNamed(page, uneven).getByText("How uneven a hand, how exact the doses").click();
    await cellNamed(page, joint).getByText("What a plan must keep to").click();
    const save = cellNamed(page, uneven).getByRole("button", { name: /^Save this chart/ });
    await save.first().click();
    for (const [colorScheme, width] of [
      ["light", 1280],
      ["dark", 820],
      ["light", 390],
    ] as const) {
      await page.emulateMedia({ colorScheme });
      await page.setViewportSize({ width, height: 900 });
      await atRest(page);
      // The tablet's width in dark and the telephone's in light between them show every rule of layout and colour.
      if (width < 1000) expect(await accessibilityFaults(page), `${colorScheme} at ${width} px`).toEqual([]);
      const out = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(out, `at ${width} px`).toBeLessThanOrEqual(0);
    }
    expect(problems).toEqual([]);
  });
});
