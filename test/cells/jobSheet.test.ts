import { readFileSync, rmSync } from "node:fs";
import { mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, describe, expect, test } from "vitest";
import { sheetCommand } from "../../src/cli/sheet.ts";
import type { JobSheet } from "../../src/paper/jobSheet.ts";
import { jobSheetDocument, jobSheetPage } from "../../src/paper/jobSheetPage.ts";
import { escaped, linkHtml, pageDocument, shortened, textSizeFor } from "../../src/paper/paper.ts";
import { computed, jobCells, okValue } from "./jobFixture.ts";

const link = { text: "lantern.bole.json", href: "lantern.bole.json" };
const sheetWith = (changes: Record<string, Record<string, unknown>> = {}) =>
  computed(jobCells(changes), (outcome) => okValue<JobSheet>(outcome("sheet")));
/** The text of a page, tags taken out. */
const textOf = (html: string) =>
  html
    .replace(/<style>[\s\S]*?<\/style>/g, "")
    .replace(/<[^>]*>/g, " ")
    .replace(/&amp;/g, "&")
    .replace(/\s+/g, " ");

describe("what stands on the job sheet", async () => {
  const sheet = await sheetWith({ sheet: { customer: "The Lantern Room", date: "2031-05-04", by: "M." } });
  const text = textOf(jobSheetDocument(sheet, link));

  test("panels of the target and of every part", () => {
    expect(sheet.panels.map(({ name }) => name).sort()).toEqual(
      ["Banquette seats", "Corner bolsters", "Plinth panels", "Target"].sort(),
    );
    for (const { colours } of sheet.panels)
      for (const colour of colours) expect(colour).toMatch(/^#[0-9a-f]{6}$|^color\(display-p3 /);
  });

  test("the recipe with running weights, in the unit it is dispensed in", () => {
    const colour = sheet.recipes.find(({ name }) => name === "Colour")!;
    expect(colour.unit).toBe("g");
    let running = 0;
    for (const row of colour.rows) {
      running += Number(row.amount);
      expect(Number(row.running)).toBeCloseTo(running, 6); // identity: running sum
    }
    for (const name of ["Pyrrole red (PR 254)", "Clear flexible binder", "Running, g"])
      expect(text).toContain(name);
  });

  test("the ground in parts", async () => {
    const half = await sheetWith({ ground: { ratio: 0.25 } });
    expect(half.recipes[0]).toMatchObject({ name: "Basecoat", parts: "3 parts to 1" }); // identity
  });

  test("coats, flash-offs, cautions, time, link and room to write", () => {
    for (const words of [
      "2 light × 15 µm, 2 heavy × 30 µm wet",
      "10 / 15 min",
      "licensed practice come first",
      "of work on the parts, done at",
      "lantern.bole.json",
      "Measured ΔE",
      "Coats laid",
      "Poured",
      "For The Lantern Room",
      "2031-05-04",
      "never on a screen or a print",
    ])
      expect(text).toContain(words);
  });

  test("the price only when it is asked for", async () => {
    expect(text).not.toMatch(/with tax/);
    expect(textOf(jobSheetDocument(await sheetWith({ sheet: { showPrice: true } }), link))).toMatch(
      /€1 \d{3}\.\d\d with tax/,
    );
  });

  test("US units", async () => {
    const us = textOf(jobSheetDocument(await sheetWith({ batch: { units: "us" } }), link));
    expect(us).toContain("80.6 ft²"); // source: 7.49 m² ÷ 0.09290304 m²
    expect(us).toContain("2 light × 0.6 mil, 2 heavy × 1.2 mil wet"); // source: 15 and 30 µm ÷ 25.4 µm
    expect(us).not.toMatch(/\d mL|\d µm|\d m²/);
  });

  test("thinner makes the wet coats thicker, not the dry film", async () => {
    const [plain, thinned] = [sheet, await sheetWith({ batch: { colourThinner: 20 } })];
    const colour = (of: JobSheet) => of.layers.find(({ name }) => name === "colour")!;
    expect(colour(thinned).dry).toBe(colour(plain).dry); // identity
    expect(colour(thinned).coats).toBe("2 light × 18 µm, 2 heavy × 36 µm wet");
    expect(colour(thinned).thinner).toMatch(/\(20 %\)/);
  });

  test("drops", async () => {
    const drops = await sheetWith({ batch: { dispensing: "drops", testPanels: 0, cupAndHose: 5 } });
    const colour = drops.recipes.find(({ name }) => name === "Colour")!;
    expect(colour.rows[0].amount).toMatch(/^\d+\.\d mL$/);
    for (const { amount } of colour.rows.slice(1)) expect(amount).toMatch(/^\d+ drops$/);
  });
});

describe("texts on a page", () => {
  test("nothing typed by a person becomes markup", async () => {
    const nasty = `<img src=x onerror="alert(1)">&'"`;
    const sheet = await sheetWith({
      sheet: { customer: nasty, date: nasty.slice(0, 40), by: nasty, remarks: nasty },
      batch: {},
    });
    const page = jobSheetDocument(
      { ...sheet, words: { ...sheet.words, title: nasty } },
      { text: nasty, href: nasty },
    );
    expect(page).not.toMatch(/<img/i);
    // What stands inside quotation marks is an attribute's text, whatever it is.
    expect(page.replace(/"[^"]*"/g, '""')).not.toMatch(/<[^>]*onerror/i);
  });

  test("escaping leaves no character that opens or closes anything", () => {
    // identity: over any text
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(escaped(text)).not.toMatch(/[<>"']|&(?!(amp|lt|gt|quot|#39);)/);
      }),
      { seed: 7 },
    );
  });

  test("only web addresses and file names become links", () => {
    expect(linkHtml({ text: "n", href: "http://127.0.0.1:4173/?notebook=n" })).toMatch(/^<a href="http/);
    expect(linkHtml({ text: "n", href: "n.bole.json" })).toMatch(/^<a href="n\.bole\.json"/);
    for (const href of ["javascript:alert(1)", "data:text/html,x", " javascript:x", "vbscript:x"])
      expect(linkHtml({ text: "n", href })).toBe("n");
  });

  test("texts are cut at words", () => {
    expect(shortened("a  short\ntext", 40)).toBe("a short text"); // identity
    expect(shortened("one two three four", 12)).toBe("one two…");
    expect(shortened("x".repeat(50), 10)).toBe(`${"x".repeat(9)}…`);
  });

  test("text shrinks as the content grows, within its limits", () => {
    const size = (height: number) => textSizeFor(() => height);
    expect(size(10)).toBe(10); // identity: room for 10 pt
    expect(size(1e6)).toBe(4);
    let last = 10;
    for (let height = 10; height < 200; height += 5) {
      expect(size(height)).toBeLessThanOrEqual(last);
      // identity: 254 mm are 720 pt
      if (size(height) > 4) expect(size(height) * height).toBeLessThanOrEqual(720.1);
      last = size(height);
    }
  });

  test("a page of its own is complete and needs nothing from elsewhere", async () => {
    const page = jobSheetDocument(await sheetWith(), link);
    expect(page).toMatch(/^<!doctype html>/);
    expect(page).not.toMatch(/<script|src=|@import|url\(/i);
    expect(pageDocument("<t>", { html: "", styles: "" })).toContain("<title>&lt;t&gt;</title>");
    const inPage = jobSheetPage(await sheetWith(), link).html;
    expect(page).toContain(inPage);
    expect(inPage).not.toMatch(/ style=/); // the workbench's policy would refuse it
  });
});

describe("the sheet from the command line", async () => {
  const folder = await mkdtemp(join(tmpdir(), "bole-sheet-"));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const notebook = (cells = jobCells()) =>
    JSON.stringify({ format: "bole-notebook", version: 1, title: "Job", cells });
  const run = async (argv: string[], text: string) => {
    const out: string[] = [];
    const complaints: string[] = [];
    const files: Record<string, string> = {};
    const code = await sheetCommand.run(argv, {
      readFile: async () => new TextEncoder().encode(text),
      print: (line: string) => void out.push(line),
      complain: (line: string) => void complaints.push(line),
      writeFile: async (path: string, written: string) => void (files[path] = written),
    } as Parameters<typeof sheetCommand.run>[1]);
    return { code, out: out.join("\n"), complaints: complaints.join("\n"), files };
  };

  test("is the same page as in the workbench", async () => {
    const { code, files } = await run(["job.bole.json", "--out", "sheet.html"], notebook());
    expect(code).toBe(0);
    const sheet = await sheetWith();
    expect(files["sheet.html"]).toBe(
      jobSheetDocument(sheet, { text: "job.bole.json", href: "job.bole.json", title: "Job" }),
    );
  });

  test("goes to standard output without --out, and to a real file with it", async () => {
    const { out } = await run(["job.bole.json"], notebook());
    expect(out).toMatch(/^<!doctype html>/);
    const path = join(folder, "sheet.html");
    const code = await sheetCommand.run(["job.bole.json", "--out", path], {
      readFile: async () => new TextEncoder().encode(notebook()),
      print: () => undefined,
      complain: () => undefined,
    });
    expect(code).toBe(0);
    expect(readFileSync(path, "utf8")).toMatch(/^<!doctype html>/);
  });

  test("says what is wrong", async () => {
    const missing = notebook(jobCells().filter(({ kind }) => kind !== "job-sheet"));
    await expect(run(["job.bole.json"], missing)).rejects.toThrow(/has no job sheet/);
    await expect(run(["job.bole.json", "--cell", "other"], notebook())).rejects.toThrow(
      /no job sheet "other". It has: sheet/,
    );
    await expect(run([], notebook())).rejects.toThrow(/Give one notebook file/);
    await expect(run(["job.bole.json"], "{")).rejects.toThrow(/job\.bole\.json.*not valid JSON/);
    const broken = await run(["job.bole.json"], notebook(jobCells({ seats: { area: 0 } })));
    expect(broken.code).toBe(1);
    expect(broken.complaints).toMatch(/Job sheet.*cannot be made.*Banquette seats/);
    await expect(
      sheetCommand.run(["job.bole.json", "--out", join(folder, "no", "such", "sheet.html")], {
        readFile: async () => new TextEncoder().encode(notebook()),
        print: () => undefined,
        complain: () => undefined,
      }),
    ).rejects.toThrow(/cannot be written \(ENOENT\)/);
  });
});
