import { describe, expect, test } from "vitest";
import exampleText from "../../data/examples/no-instrument.json?raw";
import { run } from "./inMemory.ts";

const files = { "eye.json": exampleText };

describe("bole eye", () => {
  test("tells the reference and what to pour next", async () => {
    const { code, json } = await run(["eye", "eye.json"], files);
    expect(code).toBe(0);
    expect(json.result.panels).toHaveLength(2);
    expect(json.result.within).toBeGreaterThan(0);
    expect(json.result.next.matchChance).toBeLessThanOrEqual(json.result.next.twinChance + 0.01);
  });

  test("a table that goes out and comes in again says the same", async () => {
    const before = await run(["eye", "eye.json"], files);
    const { out } = await run(["eye", "eye.json", "--csv"], files);
    expect(out).toContain("slightly lighter");
    const after = await run(["eye", "eye.json", "--panels", "panels.csv"], { ...files, "panels.csv": out });
    expect(after.json.result).toEqual(before.json.result); // identity
  });

  test.each([
    [["eye", "eye.json", "--panels", "bad.csv"], /bad\.csv: row 1, hue is "9"/],
    [["eye", "eye.json", "--cell", "nose"], /no cell By eye "nose"\. It has: eye/],
    [["eye"], /Give one notebook file/],
  ])("%s: told in words", async (argv, message) => {
    const bad = "poured,lightness,strength,hue\npr254:5,1,2,9\n";
    const { code, complaint } = await run(argv, { ...files, "bad.csv": bad });
    expect(code).toBe(2);
    expect(complaint).toMatch(message);
  });
});
