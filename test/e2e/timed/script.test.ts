import { gzipSync } from "node:zlib";
import { expect, test } from "vitest";
import { demo, opened } from "../demo.ts";
import { openPage } from "../harness.ts";

// Here, since a page that is kept waiting for a second by other work goes on to fetch what comes after the first cell.
test("less than 200 kB of script, compressed, has come when the first cell shows; the chart library comes later", async () => {
  const { page, problems } = await openPage(demo);
  await page.addInitScript(() => {
    const look = () => {
      const cell = document.querySelector("bole-workbench")?.shadowRoot?.querySelector("bole-cell");
      // The frame of a cell, the view inside it, and all of its text.
      if (!cell?.hasAttribute("filled")) {
        requestAnimationFrame(look);
        return;
      }
      const scripts = performance.getEntriesByType("resource").map(({ name }) => name);
      Object.assign(window, { scriptsBeforeFirstCell: scripts.filter((name) => name.endsWith(".js")) });
    };
    requestAnimationFrame(look);
  });
  await page.reload();
  await opened(page);
  const names = await page.evaluate(
    () => (window as unknown as { scriptsBeforeFirstCell: string[] }).scriptsBeforeFirstCell,
  );
  const texts = await Promise.all(names.map(async (name) => (await fetch(name)).text()));
  const bytes = texts.reduce((sum, text) => sum + gzipSync(text).length, 0);
  console.log(`script before the first cell: ${(bytes / 1000).toFixed(0)} kB gzip in ${names.length} files`);
  expect(names.length).toBeGreaterThan(5);
  expect(bytes).toBeLessThan(200_000);
  for (const text of texts) expect(text).not.toContain("plot-d6a7b5");
  expect(problems).toEqual([]);
});
