import { describe, expect, test } from "vitest";
import { lineAt, linesOfCode, type SourceFile, sourceFile, sourceFiles } from "./sourceFiles.ts";

const mostLinesOfFile = 400;
const mostLinesOfFunction = 80;
const mostCodeOfCell = 1000;
/** What the first comment of a longer one says, with the reason. */
const reason = /\b(long because|in one piece because)\b/;

const told = (comment: string) => reason.test(comment.replace(/\s*\n[\s*/]*/g, " "));

/** The first comment from a place on: a block, or lines one under another. */
function firstComment({ text, comments }: SourceFile, from: number): string {
  const rest = comments.filter(({ start }) => start >= from);
  const next = rest.findIndex(
    ({ end }, k) => !/^[ \t]*\n[ \t]*$/.test(text.slice(end, rest[k + 1]?.start ?? end)),
  );
  return rest.length === 0 ? "" : text.slice(rest[0].start, rest[next].end);
}

function longFile(file: SourceFile): string[] {
  const lines = file.text.trimEnd().split("\n").length;
  return lines > mostLinesOfFile && !told(firstComment(file, 0)) ? [`${file.path}: ${lines} lines`] : [];
}

interface Node {
  type: string;
  start: number;
  end: number;
}

const isNode = (value: unknown): value is Node =>
  typeof value === "object" && value !== null && typeof (value as Node).type === "string";

/** Functions of a file that are too long, with no reason in the comment before them nor in the first one inside. */
function longFunctions(file: SourceFile): string[] {
  const { path, text, code, comments } = file;
  const long: string[] = [];
  if (text.split("\n").length <= mostLinesOfFunction) return long;
  const visit = (node: Node, declaration: number): void => {
    // What a comment stands before: the statement, member or property that the function is part of.
    const from = /(Declaration|Definition|Property)$/.test(node.type) ? node.start : declaration;
    if (/Function/.test(node.type)) {
      const lines = text.slice(node.start, node.end).split("\n").length;
      if (lines > mostLinesOfFunction) {
        const before = comments.filter(
          ({ end }) => end <= from && /^\s*(export\s+)?(default\s+)?$/.test(code.slice(end, from)),
        );
        const inside = comments.some(({ start }) => start >= node.start && start < node.end);
        const reasons = [...before.map(({ value }) => value), inside ? firstComment(file, node.start) : ""];
        if (!reasons.some(told)) long.push(`${path}:${lineAt(text, node.start)}: ${lines} lines`);
      }
    }
    for (const value of Object.values(node).flat()) if (isNode(value)) visit(value, from);
  };
  visit(file.program as Node, 0);
  return long;
}

/** Cells whose folder holds too much code. */
function largeCells(files: readonly SourceFile[]): string[] {
  const sizes = new Map<string, number>();
  for (const file of files) {
    const [, cell] = /^(cells\/[^/]+)\//.exec(file.path) ?? [];
    if (cell) sizes.set(cell, (sizes.get(cell) ?? 0) + linesOfCode(file));
  }
  return [...sizes]
    .filter(([, size]) => size > mostCodeOfCell)
    .map(([cell, size]) => `${cell}: ${size} lines`);
}

describe("what is read in one go", () => {
  const files = sourceFiles();

  test("no file is long without a reason in its first comment", () =>
    expect(files.flatMap(longFile)).toEqual([]));
  test("no function is long without a reason in its first comment", () =>
    expect(files.flatMap(longFunctions)).toEqual([]));
  test("no folder of a cell holds more than a cell", () => expect(largeCells(files)).toEqual([]));
});

describe("the measures see what they look for", () => {
  const lines = (count: number) => "  x++;\n".repeat(count);
  const long = (text: string) => longFunctions(sourceFile("a.ts", text));

  test("a long file, and its reason", () => {
    expect(longFile(sourceFile("a.ts", lines(401)))).toEqual(["a.ts: 401 lines"]);
    expect(longFile(sourceFile("a.ts", lines(400)))).toEqual([]);
    expect(
      longFile(sourceFile("a.ts", `/**\n * One table, long\n * because it is.\n */\n${lines(401)}`)),
    ).toEqual([]);
    expect(longFile(sourceFile("a.ts", `// A table, long\n// because it is.\n${lines(401)}`))).toEqual([]);
    expect(longFile(sourceFile("a.ts", `// A table.\n\n// long because it is\n${lines(401)}`))).toHaveLength(
      1,
    );
  });
  test.each([
    ["function", "function f() {\n", "}\n"],
    ["arrow", "export const f = () => {\n", "};\n"],
    ["method", "class A {\n  f() {\n", "  }\n}\n"],
    ["property", "const a = { f() {\n", "} };\n"],
  ])("a long %s, and its reason", (_, head, tail) => {
    const at = head.split("\n").length - 1;
    expect(long(head + lines(79) + tail)).toEqual([`a.ts:${at}: 81 lines`]);
    expect(long(head + lines(78) + tail)).toEqual([]);
    expect(long(`${head}// in one piece because it is\n${lines(79)}${tail}`)).toEqual([]);
    expect(long(`${head}// so\nx++;\n// in one piece because it is\n${lines(79)}${tail}`)).toHaveLength(1);
    if (!head.startsWith("class") && !head.startsWith("const a"))
      expect(
        long(`/** In one piece because it is: in one piece because. */\n${head}${lines(79)}${tail}`),
      ).toEqual([]);
  });
  test("a large cell", () => {
    const file = (path: string) => sourceFile(path, `// told\n\n${lines(501)}`);
    expect(
      largeCells([file("cells/a/define.ts"), file("cells/a/view/b.ts"), file("cells/b/define.ts")]),
    ).toEqual(["cells/a: 1002 lines"]);
  });
});
