import { expect, test } from "vitest";
import { exportsOf, importsOf, sources, textOf, withoutComments } from "./imports.ts";

const program = [...sources("src"), ...sources("cells"), "vite.config.ts"];
const offered = program
  // A program's own beginning is taken by nobody.
  .filter((file) => /^(src|cells)\/.*(?<!\.d|\/(cli|server)\/main)\.ts$/.test(file))
  .flatMap((file) => exportsOf(file).map((name) => ({ file, name })));

/** Whether some files take a name from another file. */
function takenBy(files: readonly string[]): (from: { file: string; name: string }) => boolean {
  const names = new Map<string, Set<string> | "all">();
  for (const taken of files.flatMap(importsOf)) {
    const before = names.get(taken.path) ?? [];
    names.set(taken.path, before === "all" || !taken.names ? "all" : new Set([...before, ...taken.names]));
  }
  return ({ file, name }) => {
    const taken = names.get(file);
    return taken === "all" || taken?.has(name) === true;
  };
}

const inProgram = takenBy(program);
const inTests = takenBy(sources("test"));
const shown = ({ file, name }: { file: string; name: string }) => `${file}: ${name}`;

test("what is exported is imported elsewhere", () => {
  expect(offered.filter((one) => !inProgram(one) && !inTests(one)).map(shown)).toEqual([]);
});

test("what only tests import is used in its own file", () => {
  const uses = ({ file, name }: { file: string; name: string }) =>
    withoutComments(textOf(file)).match(new RegExp(`\\b${name}\\b`, "g"))?.length ?? 0;
  const dead = offered.filter((one) => !inProgram(one) && inTests(one) && uses(one) < 2);
  expect(dead.map(shown)).toEqual([]);
});
