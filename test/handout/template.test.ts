import { createContext, runInContext, Script } from "node:vm";
import { describe, expect, test } from "vitest";
import { workerBegins } from "../../src/handout/programIds.ts";
import { programOf } from "../../src/handout/script.ts";
import { partsFor, readTemplate } from "../../src/handout/template.ts";
import { smallTemplate } from "./smallTemplate.ts";

describe("the parts of a page", () => {
  test("are those of its kinds, with what these ask for, and no others", () => {
    // identity: read off the small template by hand
    expect(partsFor(smallTemplate, ["note"], false).sort()).toEqual([
      "base.js",
      "note-define.js",
      "note-view.js",
      "page.js",
      "side.js",
      "words.js",
    ]);
  });

  test("hold long work only where it is wanted", () => {
    const without = partsFor(smallTemplate, ["recipe"], false);
    expect(without).toContain("mixing.js");
    for (const name of ["tasks.js", "fits.js", "work.js"]) expect(without).not.toContain(name);
    const withWork = partsFor(smallTemplate, ["recipe"], true);
    for (const name of ["tasks.js", "fits.js", "work.js"]) expect(withWork).toContain(name);
  });

  test("a kind that the program does not know is passed over", () => {
    expect(partsFor(smallTemplate, ["toString"], false)).toEqual(partsFor(smallTemplate, [], false));
  });
});

describe("the program of a page", () => {
  const wanted = {
    kinds: ["note", "recipe"],
    firstKinds: ["note"],
    firstView: "note",
    isAlone: true,
    withWork: false,
  };
  const program = programOf(smallTemplate, wanted);
  /** The program of a template with other code in some parts; with all its elements. */
  const changed = (codes: Record<string, string>) => {
    const own = Object.fromEntries(
      Object.entries(codes).map(([name, code]) => [name, { ...smallTemplate.parts[name], code }]),
    );
    return { ...smallTemplate, parts: { ...smallTemplate.parts, ...own } };
  };

  test("is two scripts that can neither end their element nor begin a comment", () => {
    for (const text of [program.first, program.later]) {
      expect(() => new Script(text)).not.toThrow();
      expect(text).not.toMatch(/<\/script|<!--/i);
    }
  });

  test("what the first cell needs comes first, all else later, nothing twice", () => {
    // identity: read off the small template by hand
    const held = (text: string) =>
      [...text.matchAll(/"([\w-]+\.js)":function/g)].map(([, name]) => name).sort();
    expect(held(program.first)).toEqual(["base.js", "note-define.js", "note-view.js", "page.js", "words.js"]);
    expect(held(program.later)).toEqual(["mixing.js", "recipe-define.js", "recipe-view.js", "side.js"]);
  });

  test("runs each part once, when it is first asked for, fetches what comes later, and names what is not there", () => {
    const codes = {
      "page.js":
        'require("./base.js");require("base.js");require("./side.js");try{require("./tasks.js")}catch(error){told.push(error.message)}',
      "base.js": 'told.push("base")',
      "side.js": 'told.push("side")',
    };
    const { first, later } = programOf(changed(codes), { ...wanted, kinds: [] });
    const told: string[] = [];
    const document = {
      createElement: () => ({ textContent: "" }),
      getElementById: () => ({ textContent: later }),
      head: { append: ({ textContent }: { textContent: string }) => runInContext(textContent, context) },
    };
    const context = createContext({ told, document });
    runInContext(first, context);
    expect(told).toEqual(["base", "side", "This page does not hold tasks.js"]);
  });

  test("begins as a worker where there is no document", () => {
    const { first, later } = programOf(changed({ "work.js": 'told.push("work")' }), {
      ...wanted,
      withWork: true,
    });
    const told: string[] = [];
    runInContext([first, later, workerBegins].join("\n"), createContext({ told }));
    expect(told).toEqual(["work"]);
  });
});

test("a template of another form is refused", () => {
  expect(readTemplate(JSON.stringify(smallTemplate))).toEqual(smallTemplate);
  expect(() => readTemplate('{"format":"bole-handout"}')).toThrow("build again");
  expect(() => readTemplate("<!doctype html>")).toThrow("build again");
});
