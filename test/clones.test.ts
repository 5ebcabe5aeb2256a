import { describe, expect, test } from "vitest";
import { type Clone, findClones } from "./cloneFinder.ts";
import { clonesThatStay } from "./clonesThatStay.ts";
import { sourceFile, sourceFiles } from "./sourceFiles.ts";

const keyOf = (places: readonly string[], begins: string) => [...places, begins].join(" | ");
const nameOf = ({ first, second, begins }: Clone) => keyOf([first.path, second.path], begins);

describe("nothing is written twice", () => {
  const clones = findClones(sourceFiles());
  const listed = new Map(clonesThatStay.map(({ places, begins }) => [keyOf(places, begins), true]));

  test("but for what is listed with its reason", () => {
    const unlisted = clones
      .filter((clone) => !listed.has(nameOf(clone)))
      .map((clone) => `${clone.first.line}, ${clone.second.line} (${clone.lines} lines): ${nameOf(clone)}`);
    expect(unlisted).toEqual([]);
  });

  test("and what is listed is still there, with a reason", () => {
    const found = new Set(clones.map(nameOf));
    expect([...listed.keys()].filter((key) => !found.has(key))).toEqual([]);
    for (const { reason } of clonesThatStay) expect(reason.length).toBeGreaterThan(20);
  });
});

describe("the search for copies", () => {
  const body = Array.from({ length: 9 }, (_, i) => `  total += first[${i}] * second[${i}];`);
  const copied = (name: string, lines = body) =>
    `function ${name}() {\n${lines.join("\n")}\n  return total;\n}\n`;
  const found = (a: string, b: string) =>
    findClones([sourceFile("a.ts", a), sourceFile("b.ts", b)]).map(nameOf);

  test("finds ten lines in two files, and in one", () => {
    expect(found(copied("one"), copied("two"))).toEqual(["a.ts | b.ts | function one() {"]);
    expect(found(copied("one") + copied("two"), "")).toEqual(["a.ts | a.ts | function one() {"]);
  });
  test("whatever comments stand between them", () => {
    const told = body.map((line) => `// and now\n${line} /* so */`);
    expect(found(copied("one"), copied("two", told))).toHaveLength(1);
  });
  test("not fewer lines, nor other words", () => {
    expect(found(copied("one", body.slice(3)), copied("two", body.slice(3)))).toEqual([]);
    const other = body.map((line, i) => (i === 4 ? line.replace("first", "third") : line));
    expect(found(copied("one"), copied("two", other))).toEqual([]);
  });
});
