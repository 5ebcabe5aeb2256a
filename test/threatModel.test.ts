import { expect, test } from "vitest";
import guide from "../DEVELOPERS.md?raw";
import { sources, textOf } from "./imports.ts";

const section = /## The shop network: who could sit there\n([\s\S]*?)\n## /.exec(guide)?.[1] ?? "";
const rows = section
  .split("\n")
  .filter((line) => /^\| (?!who \||---)/.test(line))
  .map((line) => line.split(/ ?\| ?/).slice(1, -1));

test("the threat model has its lines", () => expect(rows.length).toBeGreaterThanOrEqual(15));

test.each(rows.map((row) => [row.slice(1, 3).join(" / "), row[3]]))(
  "%s: is tried by tests that are there",
  (_, tried) => {
    const names = [...tried.matchAll(/`([^`]+)`/g)].map(([, name]) => name);
    expect(names.length).toBeGreaterThan(0);
    const tests = [...sources("test/server/shop"), "test/e2e/shop.test.ts"].map(textOf).join("\n");
    for (const name of names) expect(tests).toContain(`"${name}"`);
  },
);
