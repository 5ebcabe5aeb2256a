import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { parseNotebook } from "../../src/document/notebook.ts";
import { makeHandout } from "../../src/handout/handout.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { smallTemplate } from "../handout/smallTemplate.ts";
import { run } from "./inMemory.ts";

const demo = readFileSync("data/examples/the-lantern-room.json", "utf8");
const files = { "demo.json": demo };

describe("bole page", () => {
  test.each<[string, string[], RegExp]>([
    ["no file", [], /Give one notebook file/],
    ["a missing file", ["none.json"], /none\.json: there is no such file/],
    [
      "a cell to show that is none",
      ["demo.json", "--show", "welcome,nothing"],
      /--show names "nothing".*welcome, target/,
    ],
    ["a cell to leave out that is none", ["demo.json", "--leave-out", "x"], /--leave-out names "x"/],
    ["a cell to move that is none", ["demo.json", "--move", "x.ratio"], /--move names "x"/],
    ["a setting that is none", ["demo.json", "--move", "ground.speed"], /"ground\.speed".*It has: .*ratio/],
    ["an unknown option", ["demo.json", "--costs"], /--costs/],
  ])("%s is named", async (_, argv, complaint) => {
    const { code, out, complaint: said } = await run(["page", ...argv], files);
    expect([code, out]).toEqual([2, ""]);
    expect(said).toMatch(complaint);
  });

  test("without the built program it says what to do", async () => {
    const { code, complaint } = await run(
      ["page", "demo.json", "--move", "ground.ratio,red,plan.heavyCoats"],
      files,
    );
    expect(code).toBe(2);
    expect(complaint).toContain("has not been built");
  });
});

test("a saved page is computed as the notebook in it", async () => {
  const document = parseNotebook(demo);
  const { page } = await makeHandout({
    document,
    registry,
    template: smallTemplate,
    run: runDirect,
    moment: "1 May 2026",
  });
  const ofPage = await run(["run", "page.html"], { "page.html": page });
  const ofNotebook = await run(["run", "demo.json"], files);
  expect(ofPage.code).toBe(0);
  expect(ofPage.json).toEqual(ofNotebook.json); // identity: nothing was left out
});
