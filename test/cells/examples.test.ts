import { describe, expect, test } from "vitest";
import { runNotebook } from "../../src/cli/runNotebook.ts";

const notebooks = import.meta.glob<string>("../../data/examples/*.json", {
  query: "?raw",
  import: "default",
  eager: true,
});

describe("every example notebook runs without a page", () => {
  test("there are examples", () => expect(Object.keys(notebooks).length).toBeGreaterThan(0));

  test.each(Object.entries(notebooks))("%s", async (_, text) => {
    const report = await runNotebook(text);
    expect(report.cells.length).toBeGreaterThan(0);
    expect(report.cells.filter((cell) => cell.status !== "ok")).toEqual([]);
    expect(report.ok).toBe(true);
  });
});
