import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { expect, test } from "vitest";
import { chartStyleHash } from "../../src/charts/plotStyle.ts";

test("the policy allows the one style element that the chart library makes", async () => {
  const library = join(dirname(createRequire(import.meta.url).resolve("@observablehq/plot")), "..", "src");
  const className = /return "(plot-[0-9a-f]{6})"/.exec(await readFile(join(library, "style.js"), "utf8"))![1];
  const template = /append\("style"\)\.text\(\s*`([^`]+)`/.exec(
    await readFile(join(library, "plot.js"), "utf8"),
  )![1];
  const text = template.replace(/\$\{className\}/g, className);
  expect(text).not.toContain("$");
  expect(`sha256-${createHash("sha256").update(text).digest("base64")}`).toBe(chartStyleHash);
});
