import { basename, join, normalize } from "node:path";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  checkName,
  fileEnding,
  freeName,
  isName,
  nameFromTitle,
  nameOfFile,
} from "../../src/server/notebookName.ts";
import { cases } from "../howMuch.ts";

describe("notebook names", () => {
  test.each(["a", "the-lantern-room", "Sofa 2", "Kanapé", "赤い椅子", "2024_chair", "a".repeat(80)])(
    "%j is allowed",
    (name) => {
      expect(checkName(name)).toBe(name);
      expect(nameOfFile(name + fileEnding)).toBe(name);
    },
  );

  test.each([
    "",
    " ",
    ".",
    "..",
    "../a",
    "a/b",
    "a\\b",
    "a.b",
    ".bole",
    "-a",
    " a",
    "a ",
    "a\0",
    "a\nb",
    "C:",
    "con",
    "LPT1",
    "a*",
    "a?",
    "~",
    "a\u202Eb",
    "a".repeat(81),
    "赤".repeat(70),
    undefined,
    7,
    null,
    ["a"],
  ])("%j is refused", (name) => {
    expect(() => checkName(name)).toThrow(/name/);
  });

  test("composed and decomposed letters are one name", () => {
    expect(checkName("Kanape\u0301")).toBe("Kanap\u00e9");
  });

  test("an allowed name is one part of a path and not hidden", () => {
    const piece = fc.oneof(
      fc.string({ unit: "binary", maxLength: 10 }),
      fc.constantFrom("..", "/", "\\", ".", " ", "con"),
    );
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 4 }), (pieces) => {
        const name = pieces.join("");
        if (!isName(name)) return;
        const path = join("/folder", name + fileEnding);
        expect(normalize(path)).toBe(`/folder/${name}${fileEnding}`);
        expect(basename(path)).toBe(name + fileEnding);
        expect(name).not.toMatch(/^\.|[/\\:*?"<>|.\p{C}]/u);
      }),
      { numRuns: cases(2000) },
    );
  });

  test("any title gives an allowed name, and any number of free ones", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 120 }), fc.nat(30), (title, taken) => {
        const name = nameFromTitle(title);
        const used = new Set<string>();
        for (let i = 0; i <= taken; i++) {
          const free = freeName(name, (candidate) => used.has(candidate));
          expect(isName(free)).toBe(true);
          used.add(free);
        }
        expect(used.size).toBe(taken + 1);
      }),
    );
  });
});
