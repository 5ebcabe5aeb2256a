import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { examples } from "./examples.ts";
import { notebookFolder, openPage } from "./harness.ts";
import { computed } from "./lessonPage.ts";

interface Made {
  readonly cells: { readonly kind: string; readonly parameters: Record<string, unknown> }[];
}

/** Kinds that say in what units the job is read. */
const isJob = (kind: string) => kind === "batch" || kind === "substrate";

/** Every text that stands on the page or can be opened there, with labels and hints, one a line. */
const allWords = (page: Page) =>
  page.evaluate(() => {
    const found: string[] = [];
    const look = (root: Document | ShadowRoot) => {
      for (const element of root.querySelectorAll("*")) {
        // What notes and questions say is their author's; an explanation of a word is the same in every job.
        if (/^BOLE-(VIEW-NOTE|VIEW-QUESTION|TERM)$/.test(element.tagName)) continue;
        if (element.shadowRoot) look(element.shadowRoot);
        if (["STYLE", "SCRIPT", "TEMPLATE"].includes(element.tagName)) continue;
        const own = [...element.childNodes].filter(({ nodeType }) => nodeType === Node.TEXT_NODE);
        if (own.length > 0) found.push(element.textContent ?? "");
        for (const name of ["aria-label", "aria-description", "placeholder"])
          found.push(element.getAttribute(name) ?? "");
      }
    };
    look(document);
    return [...new Set(found.map((text) => text.replace(/\s+/g, " ").trim()))].filter(Boolean);
  });

// Drops are counted to the mL by what a dropper delivers; K and S are stated per µm of dry film; densities in g/mL.
const isLeft = (words: string) => /to the mL|1\/µm|per µm|g\/mL|metric \(|m² and cm/.test(words);

const withJob = examples.filter((name) =>
  (JSON.parse(readFileSync(`data/examples/${name}.json`, "utf8")) as Made).cells.some(({ kind }) =>
    isJob(kind),
  ),
);

// identity: whoever types in US units reads no other
test.each(withJob)("%s in US units: no metric measure stands anywhere", async (name) => {
  const file = join(notebookFolder(), `${name}.bole.json`);
  const made = JSON.parse(readFileSync(file, "utf8")) as Made;
  for (const { kind, parameters } of made.cells) if (isJob(kind)) parameters.units = "us";
  writeFileSync(join(notebookFolder(), `us-${name}.bole.json`), JSON.stringify(made));
  const { page, problems } = await openPage(`/?notebook=us-${name}`, { width: 1440, height: 900 });
  await computed(page);
  const words = await allWords(page);
  const metric = words.filter((text) => /\d ?(mL|µm|m²|cm|L)(?![\p{L}\d²/*])/u.test(text) && !isLeft(text));
  expect(metric).toEqual([]);
  expect(problems).toEqual([]);
});
