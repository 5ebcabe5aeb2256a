import { existsSync } from "node:fs";
import { parseAst } from "vite";
import { describe, expect, test } from "vitest";
import { boundedKinds } from "../cells/registry.ts";
import { importsOf, sources, textOf } from "./imports.ts";

/** Where every loop has a bound: all that cells compute by, what they read with, and what they draw with. */
const places = [
  "src/calibration",
  "src/charts",
  "src/coating",
  "src/units",
  "src/words",
  "src/colour",
  "src/curves",
  "src/document",
  "src/drawdowns",
  "src/drawdownEditor",
  "src/exchange",
  "src/fit",
  "src/graph",
  "src/ground",
  "src/job",
  "src/judgement",
  "src/ledger",
  "src/optics",
  "src/paper",
  "src/photo",
  "src/ports",
  "src/recipes",
  "src/shelf",
  "src/tables",
  "src/tasks",
  "cells",
];

interface Syntax {
  readonly type: string;
  readonly start: number;
  readonly [part: string]: unknown;
}

const isSyntax = (value: unknown): value is Syntax => typeof (value as Syntax | null)?.type === "string";

function* within(node: Syntax): Generator<Syntax> {
  yield node;
  for (const part of Object.values(node)) {
    for (const each of [part].flat()) if (isSyntax(each)) yield* within(each);
  }
}

const comparisons = new Set(["<", "<=", ">", ">="]);

/** The tests that must all hold for a loop to go on. */
function together(test: Syntax): Syntax[] {
  if (test.type !== "LogicalExpression" || test.operator !== "&&") return [test];
  return [...together(test.left as Syntax), ...together(test.right as Syntax)];
}

/** Whole programs' own constants that are numbers above 0, such as the size of a block. */
function fixedNumbers(program: Syntax): Map<string, number> {
  const found = new Map<string, number>();
  for (const { type, kind, declarations } of program.body as Syntax[]) {
    if (type !== "VariableDeclaration" || kind !== "const") continue;
    for (const { id, init } of declarations as Syntax[]) {
      const value = (init as Syntax | null)?.value;
      if (typeof value === "number") found.set((id as Syntax).name as string, value);
    }
  }
  return found;
}

/** What a loop moves on each round, and is sure to move on: counted up or down, or by a fixed number. */
function moved(update: Syntax | null, numbers: ReadonlyMap<string, number>): Map<string, "up" | "down"> {
  const found = new Map<string, "up" | "down">();
  const parts =
    update?.type === "SequenceExpression" ? (update.expressions as Syntax[]) : update ? [update] : [];
  for (const { type, operator, argument, left, right } of parts) {
    const name = ((argument ?? left) as Syntax | undefined)?.name as string | undefined;
    if (name === undefined) continue;
    const by = right as Syntax | undefined;
    const step = by?.type === "Identifier" ? numbers.get(by.name as string) : by?.value;
    const fixed = type === "AssignmentExpression" && typeof step === "number";
    if (type === "UpdateExpression") found.set(name, operator === "++" ? "up" : "down");
    else if (fixed && operator === "+=" && step > 0) found.set(name, "up");
    else if (fixed && operator === "-=" && step > 0) found.set(name, "down");
    else if (fixed && operator === "*=" && step > 1) found.set(name, "up");
  }
  return found;
}

/** Names that a loop's test holds below something, or above something. */
function held(test: Syntax): { name: string; end: "up" | "down" }[] {
  return together(test).flatMap(({ type, operator, left, right }) => {
    if (type !== "BinaryExpression" || !comparisons.has(operator as string)) return [];
    const less = (operator as string).startsWith("<");
    const names = (side: unknown, end: "up" | "down") =>
      [...within(side as Syntax)].flatMap(({ type: kind, name }) =>
        kind === "Identifier" ? [{ name: name as string, end }] : [],
      );
    return [...names(left, less ? "up" : "down"), ...names(right, less ? "down" : "up")];
  });
}

/** Whether a loop is counted towards a limit, or calls `withinSteps` at the head of each round. */
function isBounded(loop: Syntax, numbers: ReadonlyMap<string, number>): boolean {
  const body = loop.body as Syntax;
  const [first] = body.type === "BlockStatement" ? (body.body as Syntax[]) : [body];
  const call = first?.type === "ExpressionStatement" ? (first.expression as Syntax) : undefined;
  if (call?.type === "CallExpression" && (call.callee as Syntax).name === "withinSteps") {
    return (
      loop.type === "ForStatement" &&
      moved(loop.update as Syntax | null, numbers).has(
        ((call.arguments as Syntax[])[0]?.name as string | undefined) ?? "",
      )
    );
  }
  if (loop.type !== "ForStatement" || !loop.test) return false;
  const steps = moved(loop.update as Syntax | null, numbers);
  return held(loop.test as Syntax).some(({ name, end }) => steps.get(name) === end);
}

const loopTypes = new Set(["WhileStatement", "DoWhileStatement", "ForStatement"]);

/** The lines of loops in a program that nothing holds. */
function unboundedLoops(text: string): number[] {
  const program = parseAst(text, { lang: "ts" }) as unknown as Syntax;
  const numbers = fixedNumbers(program);
  return [...within(program)]
    .filter((node) => loopTypes.has(node.type) && !isBounded(node, numbers))
    .map(({ start }) => text.slice(0, start).split("\n").length);
}

const programs = places.flatMap(sources).filter((file) => file.endsWith(".ts") && !file.endsWith(".d.ts"));

describe("loops", () => {
  test("nothing that cells compute by, read with or draw with has a loop without a bound", () => {
    const found = programs.flatMap((file) => unboundedLoops(textOf(file)).map((line) => `${file}:${line}`));
    expect(found).toEqual([]);
  });

  // identity: what each of these does
  test.each([
    ["for (let i = 0; i < n; i++) f();", true],
    ["for (let i = n - 1; i >= 0; i--) f();", true],
    ["for (; last + 1 < n && marked(last + 1); last++);", true],
    ["for (let size = 10; size > least; size -= 0.1) f(size);", true],
    ["for (const x of list) f(x);", true],
    ["for (let k = 0; ; k++) { withinSteps(k, 100, 'it'); f(); }", true],
    ["const size = 8; for (let i = 0; i < n; i += size) f();", true],
    ["const size = 0; for (let i = 0; i < n; i += size) f();", false],
    ["while (true) f();", false],
    ["while (i < n) i++;", false],
    ["do { f(); } while (g());", false],
    ["for (;;) f();", false],
    ["for (let i = 0; i < n; ) f();", false],
    ["for (let i = 0; i < n; i--) f();", false],
    ["for (let i = 0; i < n; i += step) f();", false],
    ["for (let i = 0; i < n || g(); i++) f();", false],
    ["for (let i = 0; g(); i++) f();", false],
    ["for (let k = 0; ; ) { withinSteps(k, 100, 'it'); f(); }", false],
    ["for (let k = 0; ; k++) { if (g()) withinSteps(k, 100, 'it'); f(); }", false],
    ["const f = () => { while (g()); };", false],
  ])("%s", (text, bounded) => expect(unboundedLoops(text).length === 0).toBe(bounded));
});

/** Everything of the project that a file is made of. */
function reached(file: string): Set<string> {
  const found = new Set([file]);
  for (const one of found) {
    for (const { path } of importsOf(one)) if (path.endsWith(".ts") && existsSync(path)) found.add(path);
  }
  return found;
}

describe("kinds that compute in place", () => {
  const kept = new Set(programs);
  test.each([...boundedKinds])("%s is made of files whose loops have bounds", (kind) => {
    const files = reached(`cells/${kind}/define.ts`);
    expect([...files].filter((file) => !kept.has(file))).toEqual([]);
  });
});
