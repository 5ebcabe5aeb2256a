import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { bundleForNode } from "../../src/build/bundle.mjs";
import { apartInThreads } from "../../src/cli/apartInThreads.ts";
import { runDocument } from "../../src/cli/runNotebook.ts";
import type { NotebookDocument } from "../../src/document/notebook.ts";
import { type Apart, longestApart } from "../../src/graph/apart.ts";
import { cellsWith, onlyEndless, testKinds } from "../graph/endlessKind.ts";

let folder: string;
let apart: Apart;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "bole-apart-"));
  await bundleForNode("test/cli/endlessThread.ts", folder);
  apart = { needs: onlyEndless, compute: apartInThreads(pathToFileURL(join(folder, "main.js"))) };
}, 60_000);
afterAll(() => rm(folder, { recursive: true, force: true }));

const documentWith = (limit: number) =>
  ({ title: "Counting", cells: cellsWith(limit) }) as unknown as NotebookDocument;

describe("a cell without a bound, in the command line", { timeout: 60_000 }, () => {
  test("is computed in a thread", async () => {
    const { ok, cells } = await runDocument(documentWith(5), apart, testKinds);
    expect(ok).toBe(true);
    expect(cells.map(({ id, status, notes }) => [id, status, notes])).toEqual([
      ["slow", "ok", ["counting"]],
      ["after", "ok", undefined],
      ["good", "ok", ["counting"]],
      ["beside", "ok", undefined],
    ]);
  });

  test("without an end is stopped after two seconds, named with its way out, and the rest is computed", async () => {
    const before = performance.now();
    const { ok, cells } = await runDocument(documentWith(0), apart, testKinds);
    expect(performance.now() - before).toBeGreaterThanOrEqual(longestApart - 1);
    expect(ok).toBe(false);
    expect(cells.map(({ id, status }) => [id, status])).toEqual([
      ["slow", "error"],
      ["after", "blocked"],
      ["good", "ok"],
      ["beside", "ok"],
    ]);
    expect(cells[0].message).toMatch(/longer than two seconds and was stopped/);
    expect(cells[0].wayOut).toMatch(/Change back what was changed last, or undo/);
  });
});
