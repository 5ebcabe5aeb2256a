import { createContext, runInContext, Script } from "node:vm";
import { describe, expect, test } from "vitest";
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
  const program = programOf(smallTemplate, ["note"], false);

  test("is one script that can neither end its element nor begin a comment", () => {
    expect(() => new Script(program)).not.toThrow();
    expect(program).not.toMatch(/<\/script|<!--/i);
  });

  test("runs each part once, when it is first asked for, and names what is not there", () => {
    const counting = {
      ...smallTemplate,
      parts: {
        ...smallTemplate.parts,
        "page.js": {
          code: 'require("./base.js");require("base.js");try{require("./tasks.js")}catch(error){told.push(error.message)}',
          needs: ["base.js"],
          later: [],
        },
        "base.js": { code: 'told.push("base")', needs: [], later: [] },
      },
    };
    const told: string[] = [];
    runInContext(programOf(counting, [], false), createContext({ told, document: {} }));
    expect(told).toEqual(["base", "This page does not hold tasks.js"]);
  });

  test("begins as a worker where there is no document", () => {
    const told: string[] = [];
    const parts = { ...smallTemplate.parts, "work.js": { code: 'told.push("work")', needs: [], later: [] } };
    runInContext(programOf({ ...smallTemplate, parts }, [], true), createContext({ told }));
    expect(told).toEqual(["work"]);
  });
});

test("a template of another form is refused", () => {
  expect(readTemplate(JSON.stringify(smallTemplate))).toEqual(smallTemplate);
  expect(() => readTemplate('{"format":"bole-handout"}')).toThrow("build again");
});
