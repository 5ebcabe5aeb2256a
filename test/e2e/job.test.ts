import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import type { Page } from "playwright-core";
import { describe, expect, test } from "vitest";
import type { JobSheet } from "../../src/paper/jobSheet.ts";
import { jobSheetDocument } from "../../src/paper/jobSheetPage.ts";
import { cautions } from "../../src/tables/cautions.ts";
import { jobCells } from "../cells/jobFixture.ts";
import { cases } from "../howMuch.ts";
import { accessibilityFaults, notebookFolder, openPage } from "./harness.ts";
import { inkOf, layoutFaults, type Paper, papers, readPdf } from "./printedPage.ts";

let made = 0;

/** Put the demo job, from colour to record, into the notebook folder under a name of its own and open it. */
async function openJob(options: Parameters<typeof openPage>[1] = {}) {
  const name = `job-test-${++made}`;
  const cells = jobCells({ sheet: { customer: "The Lantern Room (invented)" } });
  const notebook = { format: "bole-notebook", version: 1, title: "A job", cells };
  writeFileSync(join(notebookFolder(), `${name}.bole.json`), JSON.stringify(notebook));
  const opened = await openPage(`/?notebook=${name}`, options);
  await cellNamed(opened.page, "Job sheet").locator("bole-paper").waitFor();
  return { ...opened, name };
}
const cellNamed = (page: Page, title: string) =>
  page.locator("bole-cell", { has: page.getByRole("heading", { name: title, exact: true }) });
const verdict = (page: Page, title: string) => cellNamed(page, title).locator(".verdict").first().innerText();

async function type(page: Page, cell: string, label: string, text: string): Promise<void> {
  const box = cellNamed(page, cell).getByLabel(label, { exact: true }).first();
  await box.fill(text);
  await box.press("Tab");
}

/** Litres of the colour that the batch cell asks for. */
async function litresOfColour(page: Page): Promise<number> {
  const [, amount, unit] = /Mix ([\d.]+) (L|mL) of the colour/.exec(await verdict(page, "Batch"))!;
  return Number(amount) / (unit === "L" ? 1 : 1000);
}

async function hoursOfWork(page: Page): Promise<number> {
  const [, hours, minutes] = /^(\d+) h(?: (\d+) min)? of work/.exec(await verdict(page, "Day"))!;
  return Number(hours) + Number(minutes ?? 0) / 60;
}

async function price(page: Page): Promise<number> {
  const [, text] = /^€([\d.\u202f]+) with tax/.exec(await verdict(page, "Quote"))!;
  return Number(text.replaceAll("\u202f", ""));
}

describe("from parts list to printed sheet", () => {
  test("no width makes the page measure itself in a loop", async () => {
    const { page } = await openJob({ width: 640 });
    // The browser tells it to the window alone, not to the console.
    await page.addInitScript(() => {
      const faults: string[] = [];
      Object.assign(window, { faults });
      addEventListener("error", ({ message }) => faults.push(message));
    });
    for (const width of [640, 500, 390]) {
      await page.setViewportSize({ width, height: 800 });
      await page.reload();
      const sheet = cellNamed(page, "Job sheet").locator("bole-paper");
      await sheet.scrollIntoViewIfNeeded();
      await sheet.getByRole("button", { name: "Show it in full size" }).click();
      await sheet.getByRole("button", { name: "Show it in full size" }).click();
      expect(
        await page.evaluate(() => (window as unknown as { faults: string[] }).faults),
        `${width}`,
      ).toEqual([]);
    }
  });

  test("filled by its labels; litres, time and price follow, and the sheet prints on one page of either paper", async () => {
    const { page, problems, name } = await openJob();
    const [hoursBefore, priceBefore] = [await hoursOfWork(page), await price(page)];
    expect(await litresOfColour(page)).toBe(1.2);

    await type(page, "Banquette seats", "Area of one", "0.6");
    await type(page, "Banquette seats", "How many", "12");
    await type(page, "Corner bolsters", "How many", "6");
    // source: arithmetic: 12 × 0.6 + 6 × 0.32 + 6 × 0.21 = 10.38 m²; ((10.38 · 90 + 0.06 · 90)/0.65 + 40) · 1.1 = 1634 mL, in
    // whole 10 mL
    await expect.poll(() => litresOfColour(page)).toBe(1.64);
    expect(await verdict(page, "Batch")).toContain("for 24 pieces with 10.38 m² to coat");
    expect(await hoursOfWork(page)).toBeGreaterThan(hoursBefore);
    expect(await price(page)).toBeGreaterThan(priceBefore);
    expect(await verdict(page, "Quote")).toMatch(
      /\d\.\d times the price of the same job in the linked colour/,
    );

    // The sheet that is handed over as a file is the one that is printed.
    const download = page.waitForEvent("download");
    await cellNamed(page, "Job sheet").getByRole("button", { name: "Save the job sheet as a file" }).click();
    const saved = await download;
    expect(saved.suggestedFilename()).toBe("job-sheet.html");
    const html = readFileSync((await saved.path())!, "utf8");
    expect(html).toContain("12 × 0.60 m²");
    expect(html).toContain(`${name}.bole.json`);
    for (const paper of Object.keys(papers) as Paper[]) await printsWell(page, html, paper);
    expect(problems).toEqual([]);
  });

  test("Print hands the sheet alone to the browser, with its styles and within the page's policy", async () => {
    const { page, problems } = await openJob();
    // The frame that is printed has a print function of its own; it tells the page what it would print.
    await page.evaluate(() => {
      const append = document.body.append.bind(document.body);
      document.body.append = (...nodes) => {
        append(...nodes);
        for (const node of nodes) {
          const inside = (node as HTMLIFrameElement).contentWindow as (Window & typeof globalThis) | null;
          if (!inside) continue;
          inside.print = () => {
            const sheet = inside.document.querySelector(".page")!;
            Object.assign(window, {
              printed: {
                text: sheet.textContent,
                width: inside.getComputedStyle(sheet).width,
                children: inside.document.body.children.length,
                mode: inside.document.compatMode,
                html: new XMLSerializer().serializeToString(inside.document.documentElement),
                doctype: inside.document.doctype?.name,
                styles: inside.document.adoptedStyleSheets
                  .flatMap(({ cssRules }) => [...cssRules].map(({ cssText }) => cssText))
                  .join("\n"),
              },
            });
          };
        }
      };
    });
    await cellNamed(page, "Job sheet").getByRole("button", { name: "Print the job sheet" }).click();
    const printed = () =>
      page.evaluate(() => (window as unknown as { printed?: Record<string, unknown> }).printed);
    await expect.poll(printed).toBeTruthy();
    expect(await printed()).toMatchObject({
      children: 1,
      mode: "CSS1Compat",
      text: expect.stringContaining("Pyrrole red (PR 254)"),
    });
    // identity: 186 mm at 96 px to the inch
    expect(Number.parseFloat((await printed())!.width as string)).toBeCloseTo((186 / 25.4) * 96, 0);
    expect(await page.locator("iframe").count()).toBe(0);
    // What the frame holds, printed as it is: its own doctype or none, its own styles.
    const { doctype, html, styles } = (await printed()) as Record<string, string | undefined>;
    const framed = `${doctype ? `<!doctype ${doctype}>` : ""}${html}`;
    const alone = await page.context().newPage();
    await alone.setContent(framed.replace(/<\/head>|<head\s*\/>/, `<style>${styles}</style></head>`));
    expect(await alone.evaluate(() => document.compatMode)).toBe("CSS1Compat");
    for (const paper of Object.keys(papers) as Paper[])
      expect(readPdf(await alone.pdf({ format: paper })).pages, paper).toBe(1);
    expect(problems).toEqual([]);
  });

  test("a wrong number is told at its field, and nothing else changes", async () => {
    const { page } = await openJob();
    const before = await verdict(page, "Batch");
    await type(page, "Banquette seats", "Area of one", "0");
    const seats = cellNamed(page, "Banquette seats");
    await expect.poll(() => seats.locator("#trouble").innerText()).toMatch(/Area of one.*0\.001 to 1000 m²/);
    await type(page, "Quote", "Labour", "-5");
    await expect
      .poll(() => cellNamed(page, "Quote").locator("#trouble").innerText())
      .toMatch(/Labour.*from 0 to 1000000 € per hour/);
    expect(await verdict(page, "Batch")).toBe(before);
  });

  test("US customary units are shown and typed", async () => {
    const { page } = await openJob();
    await cellNamed(page, "Batch").getByLabel("Units").selectOption("us");
    // source: 7.49 m² ÷ 0.09290304 m²; 1200.1 mL ÷ 29.5735 mL
    await expect.poll(() => verdict(page, "Batch")).toMatch(/40\.6 fl oz of the colour.*80\.6 ft²/);
    await cellNamed(page, "Batch").getByText("Losses, test panels, reserve, rounding").click();
    await type(page, "Batch", "Round each mix up to whole", "8");
    // identity: whole steps of 8 fl oz
    await expect.poll(() => verdict(page, "Batch")).toMatch(/48\.0 fl oz of the colour/);
    // The cells before it take them up: 90 µm ÷ 25.4 µm, and a coat typed in mil.
    const coats = cellNamed(page, "Coats");
    await expect.poll(() => coats.locator(".verdict").first().innerText()).toContain("3.54 mil wet");
    const heavy = coats.getByLabel("Heavy coat", { exact: true });
    expect(await heavy.inputValue()).toBe("1.18");
    await heavy.fill("2");
    await heavy.blur();
    // source: (2 · 15 µm + 2 · 50.8 µm) ÷ 25.4 µm
    await expect.poll(() => coats.locator(".verdict").first().innerText()).toContain("5.18 mil wet");
  });

  test("a reading on the finished part stands beside its prediction and is kept", async () => {
    const { page, problems } = await openJob();
    const record = cellNamed(page, "Record");
    await record.getByRole("button", { name: "Put in a reading of Corner bolsters" }).click();
    // Nothing is computed before something is typed.
    expect(await verdict(page, "Record")).toMatch(/When the parts are dry/);
    await type(page, "Record", "L*, a*, b*: one colour on a line", "42 44 24 (D50/10°)");
    await record.getByText(/was read for .*, but the viewing cell looks in/).waitFor();
    await type(page, "Record", "L*, a*, b*: one colour on a line", "42 44 24");
    await expect.poll(() => verdict(page, "Record")).toMatch(/off most on Corner bolsters: ΔE00 \d/);
    await type(page, "Record", "a* of Corner bolsters", "40");
    await expect.poll(() => verdict(page, "Record")).toMatch(/off most on Corner bolsters: ΔE00 \d/);
    await record.getByRole("button", { name: "Keep in the history" }).click();
    await record.getByText("1 reading; half of them lie within").waitFor();
    await record.locator("bole-chart .picture svg").first().waitFor();
    expect(problems).toEqual([]);
  });

  test("everyone can use it: no faults that axe finds, in both themes and on a phone", async () => {
    for (const options of [{ width: 1000 }, { width: 390, colorScheme: "dark" as const }]) {
      const { page } = await openJob(options);
      for (const title of ["Batch", "Day", "Quote", "Job sheet", "Record"]) {
        for (const summary of await cellNamed(page, title).locator("summary").all()) await summary.click();
      }
      await cellNamed(page, "Quote").locator("bole-paper").waitFor();
      expect(await accessibilityFaults(page)).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect(wide, `${options.width} px`).toBeLessThanOrEqual(0);
    }
  });
});

describe("the customer's page", () => {
  test("prints on one page of either paper", async () => {
    const { page } = await openJob();
    await cellNamed(page, "Quote").getByText("Page for the customer").click();
    const download = page.waitForEvent("download");
    await cellNamed(page, "Quote")
      .getByRole("button", { name: /^Save the customer/ })
      .click();
    const html = readFileSync((await (await download).path())!, "utf8");
    expect(html).toContain("Why this colour costs what it does");
    for (const paper of Object.keys(papers) as Paper[]) await printsWell(page, html, paper);
  });
});

describe("job sheets of any content", () => {
  const name = fc.string({ minLength: 1, maxLength: 60, unit: fc.constantFrom(..."abcdefghij MNOPW ilt") });
  const times = (n: number) => `${n}${"0".repeat(n % 4)}.0`;
  const anySheet = fc
    .record({
      names: fc.array(name, { minLength: 1, maxLength: 14 }),
      components: fc.array(name, { minLength: 1, maxLength: 14 }),
      ground: fc.integer({ min: 0, max: 3 }),
      cautions: fc.integer({ min: 3, max: cautions.length }),
      title: fc.string({ maxLength: 200, unit: fc.constantFrom(..."abc Wm") }),
      remarks: fc.string({ maxLength: 400, unit: fc.constantFrom(..."abc Wm") }),
      thinned: fc.boolean(),
    })
    .map(({ names, components, ground, cautions: count, title, remarks, thinned }): JobSheet => {
      const recipe = (of: string, list: readonly string[], parts: string) => ({
        name: of,
        parts,
        unit: "g",
        rows: list.map((component, i) => ({ name: component, amount: times(i + 1), running: times(i + 2) })),
        total: "12.34 L, 12345.6 g",
      });
      return {
        words: { title, customer: names[0], date: "2031-05-04", by: components[0], remarks },
        units: "metric",
        panels: ["Target", ...names].slice(0, 6).map((of) => ({
          name: of,
          figure: "before · after",
          colours: ["#aa2222", "#222222"],
        })),
        layers: ["cleaner", "adhesion coat", "basecoat", "colour", "clear coat"].map((of) => ({
          name: of,
          coats: "12 light × 120 µm, 12 heavy × 150 µm wet",
          dry: "120.5 µm",
          method: "HVLP gun",
          mix: "12.34 L",
          thinner: thinned ? "1.23 L (10 %)" : "–",
          flashOff: "10 / 15 min",
        })),
        recipes: [
          ...(ground > 0 ? [recipe("Basecoat", components.slice(0, ground), "40 % : 35 % : 25 %")] : []),
          recipe("Colour", components, ""),
        ],
        parts: names.map((of) => ({
          name: of,
          size: `12 × 0.55 m², grain × 1.20, ${of}`.slice(0, 60),
          predicted: "ΔE00 12.34",
        })),
        furtherParts: "and 7 more kinds of part: 123 pieces, 45.67 m²",
        conditions:
          "123 pieces, 45.67 m² with grain. Target: Poppy red; passes up to ΔE00 1 in LED-B3, 10° observer.",
        time: "15 h 29 min of work, done at 13:58 on day 2, cured at 02:08 on day 3",
        price: "€12\u202f345 with tax",
        cautions: cautions.slice(0, count).map((caution) => caution.short),
      };
    });

  test("fit one page of either paper, cut nothing off and overlap nowhere", async () => {
    const { page } = await openJob();
    const sheets = fc.sample(anySheet, { numRuns: cases(24), seed: 279 });
    for (const sheet of sheets) {
      const html = jobSheetDocument(sheet, { text: "a-job.bole.json", href: "a-job.bole.json" });
      for (const paper of Object.keys(papers) as Paper[]) await printsWell(page, html, paper);
    }
  });
});

test("the check of pages finds what is cut off, sticks out or overlaps", async () => {
  const { page } = await openJob();
  const looked = await page.context().newPage();
  const faults = async (inside: string) => {
    const css =
      ".page { position: relative; width: 300px; height: 200px } .page * { position: absolute; white-space: nowrap }";
    await looked.setContent(`<style>${css}</style><div class="page">${inside}</div>`);
    return (await layoutFaults(looked)).join("; ");
  };
  expect(await faults('<p style="top: 0">one</p><p style="top: 60px">two</p>')).toBe("");
  expect(await faults('<p style="top: 0">one</p><p style="top: 6px">two</p>')).toMatch(
    /“one” and p “two” overlap/,
  );
  expect(await faults('<p style="left: 280px">long words</p>')).toMatch(/sticks out sideways/);
  expect(await faults('<p style="top: 195px">low</p>')).toMatch(/sticks out of the page/);
  expect(await faults('<p style="width: 30px">long words</p>')).toMatch(/wider than its place/);
  // identity: a box of 1 inch, 1 inch from the corner of the paper, as the picture of the PDF shows it.
  await looked.setContent(
    "<style>@page { margin: 1in } body { margin: 0 } div { width: 1in; height: 1in; background: red }</style><div></div>",
  );
  const ink = await inkOf(await looked.pdf({ format: "A4", printBackground: true }));
  for (const [side, at] of [
    ["left", 72],
    ["top", 72],
    ["right", 144],
    ["bottom", 144],
  ] as const)
    expect(Math.abs(ink[side] - at), side).toBeLessThanOrEqual(ink.pixel);
  const tall = '<div style="height: 1500px; background: red">x</div>';
  await looked.setContent(`<style>@page { margin: 12mm }</style>${tall}`);
  expect(readPdf(await looked.pdf({ format: "A4" })).pages).toBe(2);
});

/** Print a document to PDF and look at it: one page of that paper, nothing cut off, nothing on top of anything. */
async function printsWell(around: Page, html: string, paper: Paper): Promise<void> {
  const page = await around.context().newPage();
  try {
    await page.emulateMedia({ media: "print" });
    const { width, height } = papers[paper];
    const margin = (12 / 25.4) * 72;
    const px = 96 / 72;
    await page.setViewportSize({
      width: Math.floor((width - 2 * margin) * px),
      height: Math.floor((height - 2 * margin) * px),
    });
    await page.setContent(html);
    expect(await layoutFaults(page), paper).toEqual([]);
    const tall = await page.evaluate(() => document.documentElement.scrollHeight - innerHeight);
    expect(tall, `${paper}: px taller than the paper`).toBeLessThanOrEqual(0);

    const pdf = await page.pdf({ format: paper });
    const { pages, first } = readPdf(pdf);
    expect(pages, paper).toBe(1);
    expect(Math.abs(first.width - width)).toBeLessThan(1);
    expect(Math.abs(first.height - height)).toBeLessThan(1);
    expect(first.texts.length).toBeGreaterThan(50);
    const inside = {
      left: margin - 1,
      top: margin - 1,
      right: width - margin + 1,
      bottom: height - margin + 1,
    };
    for (const { x, y } of first.texts) {
      expect(x).toBeGreaterThanOrEqual(inside.left);
      expect(x).toBeLessThanOrEqual(inside.right);
      expect(y).toBeGreaterThanOrEqual(inside.top);
      expect(y).toBeLessThanOrEqual(inside.bottom);
    }
    for (const box of first.rectangles) {
      expect(box.left).toBeGreaterThanOrEqual(inside.left);
      expect(box.right).toBeLessThanOrEqual(inside.right);
      expect(box.top).toBeGreaterThanOrEqual(inside.top);
      expect(box.bottom).toBeLessThanOrEqual(inside.bottom);
    }
    // As a picture: ink stays inside the margins, to the pixel it may be off by, and reaches down the page.
    const ink = await inkOf(pdf);
    expect(ink.left).toBeGreaterThan(inside.left - ink.pixel);
    expect(ink.right).toBeLessThan(inside.right + ink.pixel);
    expect(ink.top).toBeGreaterThan(inside.top - ink.pixel);
    expect(ink.bottom).toBeLessThan(inside.bottom + ink.pixel);
    expect(ink.bottom).toBeGreaterThan(height / 2);
  } finally {
    await page.close();
  }
}
