import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { emptyNotebook, type NotebookDocument, parseNotebook } from "../../src/document/notebook.ts";
import { notebookInPage } from "../../src/document/savedPage.ts";
import { wholeNotebook } from "../../src/handout/choice.ts";
import { makeHandout } from "../../src/handout/handout.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { smallTemplate } from "./smallTemplate.ts";

const example = (name: string) => parseNotebook(readFileSync(`data/examples/${name}.json`, "utf8"));
const demo = example("the-lantern-room");
const make = (document: NotebookDocument, choice = wholeNotebook(document, registry)) =>
  makeHandout({ document, registry, template: smallTemplate, choice, run: runDirect, moment: "1 May 2026" });
const backOf = (page: string) => parseNotebook(notebookInPage(page) ?? "");

describe("a page saved from the demo", () => {
  test("gives back the very notebook", async () => {
    const { page, frozen, behind } = await make(demo);
    expect(backOf(page)).toEqual(demo); // identity: nothing was left out
    expect([frozen, behind]).toEqual([[], []]);
  });

  test("stands there without scripts: titles, verdicts, panels in their colours", async () => {
    const { page } = await make(demo);
    const still = page.slice(page.indexOf("<main"), page.indexOf("</main>"));
    for (const { title } of demo.cells) expect(still).toContain(title);
    expect(still).toMatch(/Corner bolsters, no basecoat<\/span> <strong>ΔE00 \d+\.\d/);
    expect(still).toContain("<strong>The Lantern Room</strong> is a small theatre café");
    expect(still.match(/<rect [^>]*fill="#[0-9a-f]{6}"/g)?.length).toBeGreaterThan(6);
  });

  test("its policy allows its own program and style by their hashes, and no other source", async () => {
    const { page } = await make(demo);
    const policy = /Content-Security-Policy" content="([^"]*)"/.exec(page)?.[1] ?? "";
    const hash = (text: string) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
    const [, style] = /<style>([\s\S]*?)<\/style>/.exec(page) ?? [];
    const [, first] = /<script id="bole-program">([\s\S]*?)<\/script>/.exec(page) ?? [];
    const [, later] =
      /<script type="text\/plain" id="bole-program-later">([\s\S]*?)<\/script>/.exec(page) ?? [];
    // identity: the hash of the element's text, as Content Security Policy Level 3 has it
    expect(policy).toContain(`script-src ${hash(first)} ${hash(later)};`);
    expect(policy).toContain(`style-src ${hash(style)} `);
    expect(policy).toMatch(/^default-src 'none';/);
    expect(policy).not.toMatch(/unsafe|https?:|\*/);
    expect(page.indexOf("Content-Security-Policy")).toBeLessThan(page.indexOf("<style>"));
  });

  test("what is left out is not in the file, not even by its id", async () => {
    const secret = "sentinel-of-the-rack";
    const document = {
      ...demo,
      cells: demo.cells.map((cell) => (cell.id === "rack" ? { ...cell, title: secret } : cell)),
    };
    const { page, frozen } = await make(document, {
      ...wholeNotebook(document, registry),
      leftOut: ["rack"],
    });
    expect(page).not.toContain(secret);
    expect(page).not.toContain('"rack"');
    expect(frozen).toContain("cover");
    expect(page).toContain("what it takes from was left out");
    // What it came to is told all the same.
    expect(page.slice(page.indexOf("<main"), page.indexOf("</main>"))).toMatch(/ΔE00 \d/);
  });

  test("cells that are not shown but needed work behind", async () => {
    const { page, behind } = await make(demo, { ...wholeNotebook(demo, registry), shown: ["cover"] });
    expect(behind).toEqual(expect.arrayContaining(["rack", "ground", "target"]));
    expect(backOf(page).cells.map(({ id }) => id)).not.toContain("weigh");
    const still = page.slice(page.indexOf("<main"), page.indexOf("</main>"));
    expect(still).not.toContain("The rack of pastes");
  });
});

describe("costs", () => {
  test("a job without them holds neither quote nor price, and its sheet computes without", async () => {
    const job = example("from-colour-to-job");
    const quote = job.cells.find(({ kind }) => kind === "quote");
    expect(quote).toBeDefined();
    const { page, frozen } = await make(job, { ...wholeNotebook(job, registry), costs: false });
    const back = backOf(page);
    expect(back.cells.map(({ kind }) => kind)).not.toContain("quote");
    expect(page).not.toContain(quote!.title);
    expect(JSON.stringify(back)).not.toContain(`"${quote!.id}"`);
    expect(frozen).toEqual([]);
    expect(back.cells.map(({ kind }) => kind)).toContain("job-sheet");
  });

  test("no figure in money is left wherever it is kept; a colour difference that a limit costs is", async () => {
    const { withoutCosts } = await import("../../src/handout/withoutCosts.ts");
    const cell = {
      id: "a",
      kind: "pigment-set",
      title: "a",
      inputs: {},
      parameters: {
        components: [{ name: "x", costPerMl: 0.123, provenance: { price: "invented" } }],
        kept: { candidates: [{ cost: 4.56 }], limits: [{ limit: "sum", cost: 0.7 }] },
        costPerLitre: "78.9",
      },
    };
    const bare = withoutCosts({ ...demo, cells: [cell] });
    expect(bare.cells[0].parameters).toEqual({
      components: [{ name: "x", provenance: {} }],
      kept: { candidates: [{ cost: null }], limits: [{ limit: "sum", cost: 0.7 }] },
      costPerLitre: "",
    });
  });
});

describe("lessons", () => {
  test("the page without scripts keeps the secret of an open question", async () => {
    const { page } = await make(example("lesson-1-why-red-disappears"));
    const still = page.slice(page.indexOf("<main"), page.indexOf("</main>"));
    expect(still).toContain("Not answered yet");
    expect(still).toContain("Covered until “");
    // The coverage cell of the lesson would tell.
    expect(still).not.toMatch(/<strong>ΔE00 \d/);
  });

  test("a cell that stays as it was is covered by a question that lives, and its words are not on the page", async () => {
    const job = example("from-colour-to-job");
    const asking = {
      id: "ask",
      kind: "question",
      title: "How near?",
      parameters: { text: "How near does the worst part come?", quantity: "", guessFrom: 0, guessTo: 10 },
      inputs: { about: ["cover"] },
    };
    const document = { ...job, cells: [...job.cells.slice(0, 2), asking, ...job.cells.slice(2)] };
    const choice = { ...wholeNotebook(document, registry), leftOut: ["grey"] };
    const { page, frozen } = await make(document, choice);
    expect(frozen).toContain("quote");
    const [, told] = /id="bole-handout">(.*?)<\/script>/.exec(page) ?? [];
    expect(JSON.parse(told).frozen.quote.cover).toBe("ask");
    const still = page.slice(page.indexOf("<main"), page.indexOf("</main>"));
    expect(still).toContain("Covered until “How near?” is answered.");
    expect(still).not.toContain("with tax");
  });
});

describe("hostile words", () => {
  const hostile = `</script><script>alert(1)</script><!-- <img src=x onerror=alert(1)> "'&\u2028`;
  const document: NotebookDocument = {
    ...emptyNotebook(hostile),
    cells: [{ id: "n", kind: "note", title: hostile, parameters: { text: hostile }, inputs: {} }],
  };

  test("in titles and notes become no element, in no place, and come back as they were", async () => {
    const { page } = await make(document);
    expect(page.match(/<script/gi)).toHaveLength(4); // two blocks of data, two scripts
    expect(page).not.toMatch(/<img|<!--/i);
    expect(backOf(page)).toEqual(document);
  });
});

describe("reading back", () => {
  test("what is no saved page is none", () => {
    expect(notebookInPage("")).toBeUndefined();
    expect(notebookInPage('{"format":"bole-notebook"}')).toBeUndefined();
    expect(notebookInPage("<!doctype html><p>other</p>")).toBeUndefined();
    expect(
      notebookInPage('<!doctype html><script type="application/json" id="bole-notebook">{'),
    ).toBeUndefined();
  });

  test("a page whose notebook was spoilt is refused like any notebook", () => {
    const page = '<!doctype html><script type="application/json" id="bole-notebook">{"format":"x"}</script>';
    expect(() => parseNotebook(notebookInPage(page)!)).toThrow("notebook");
  });
});
