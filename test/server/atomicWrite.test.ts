import { mkdir, readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { AlreadyThere, createAtomically, writeAtomically } from "../../src/server/atomicWrite.ts";
import { temporaryFolder } from "./temporaryFolder.ts";

describe("writeAtomically", () => {
  test("a reader at any moment finds one whole text", async () => {
    const folder = await temporaryFolder();
    const path = join(folder, "file");
    const texts = ["a".repeat(3_000_000), "b".repeat(2_000_000)];
    await writeFile(path, texts[0]);
    let writing = true;
    const writer = (async () => {
      for (let i = 0; i < 30; i++) await writeAtomically(path, texts[i % 2], folder);
      writing = false;
    })();
    const seen = new Set<string>();
    while (writing) {
      const found = await readFile(path, "utf8");
      expect(texts.includes(found)).toBe(true);
      seen.add(found[0]);
    }
    await writer;
    expect([...seen].sort()).toEqual(["a", "b"]);
    expect(await readdir(folder)).toEqual(["file"]);
  });

  test("a write that fails leaves the old text and no temporary file", async () => {
    const folder = await temporaryFolder();
    await mkdir(join(folder, "temporary"));
    await mkdir(join(folder, "target"));
    await writeFile(join(folder, "target", "inside"), "old");
    await expect(writeAtomically(join(folder, "target"), "new", join(folder, "temporary"))).rejects.toThrow();
    expect(await readFile(join(folder, "target", "inside"), "utf8")).toBe("old");
    expect(await readdir(join(folder, "temporary"))).toEqual([]);
  });
});

describe("createAtomically", () => {
  test("never replaces what is there", async () => {
    const folder = await temporaryFolder();
    const path = join(folder, "file");
    await createAtomically(path, "first", folder);
    await expect(createAtomically(path, "second", folder)).rejects.toThrow(AlreadyThere);
    expect(await readFile(path, "utf8")).toBe("first");
    expect(await readdir(folder)).toEqual(["file"]);
  });

  test("of many at once exactly one succeeds", async () => {
    const folder = await temporaryFolder();
    const path = join(folder, "file");
    const outcomes = await Promise.allSettled(
      Array.from({ length: 20 }, (_, i) => createAtomically(path, `text ${i}`, folder)),
    );
    const winners = outcomes.flatMap(({ status }, i) => (status === "fulfilled" ? [i] : []));
    expect(winners).toHaveLength(1);
    expect(await readFile(path, "utf8")).toBe(`text ${winners[0]}`);
  });
});
