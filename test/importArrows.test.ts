import { describe, expect, test } from "vitest";
import { importsOf, sources, textOf, withoutComments } from "./imports.ts";

/** Which places each place may import from; a place may always import from itself. Nothing else points the other way. */
const allowed: Record<string, readonly string[]> = {
  // English only: every place may import from it.
  "src/words": [],
  // Measures of metric and US units: every place may import from it.
  "src/units": [],
  "src/colour": ["src/fit"],
  "src/optics": ["src/fit", "src/colour"],
  "src/coating": ["src/optics", "src/colour"],
  "src/fit": [],
  "src/tasks": [],
  "src/curves": ["src/fit", "src/colour"],
  "src/recipes": ["src/tasks", "src/fit", "src/coating", "src/optics", "src/colour"],
  "src/ground": ["src/tasks", "src/recipes", "src/fit", "src/coating", "src/optics", "src/colour"],
  "src/judgement": ["src/recipes", "src/fit", "src/coating", "src/optics", "src/colour"],
  "src/calibration": [
    "src/tasks",
    "src/tables",
    "src/curves",
    "src/fit",
    "src/coating",
    "src/optics",
    "src/colour",
  ],
  "src/drawdowns": [
    "src/ledger",
    "src/tasks",
    "src/calibration",
    "src/exchange",
    "src/tables",
    "src/curves",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/graph",
  ],
  "src/shelf": [
    "src/tasks",
    "src/calibration",
    "src/tables",
    "src/fit",
    "src/coating",
    "src/optics",
    "src/colour",
  ],
  "src/ledger": [
    "src/tasks",
    "src/shelf",
    "src/tables",
    "src/fit",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/document",
    "src/graph",
  ],
  "src/photo": ["src/fit", "src/colour"],
  "src/tables": ["src/colour", "src/optics", "src/coating", "data"],
  "src/exchange": ["src/tables", "src/tasks", "src/colour", "src/optics"],
  "src/charts": [],
  "src/graph": ["src/tasks"],
  "src/document": ["src/graph"],
  "src/workers": [
    "src/graph",
    "src/ledger",
    "src/drawdowns",
    "src/exchange",
    "src/shelf",
    "src/calibration",
    "src/ground",
    "src/recipes",
    "src/tasks",
  ],
  // Values that flow between cells, and the conversions they share.
  "src/ports": [
    "src/judgement",
    "src/ground",
    "src/recipes",
    "src/curves",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/tables",
    "src/graph",
    "src/tasks",
    "src/fit",
  ],
  "src/job": [
    "src/ledger",
    "src/ports",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/tables",
    "src/graph",
  ],
  "src/paper": ["src/job", "src/ports", "src/coating", "src/colour"],
  "src/controls": ["src/ledger", "src/charts", "src/graph", "src/tables", "src/tasks", "src/colour"],
  "src/drawdownEditor": [
    "src/drawdowns",
    "src/exchange",
    "src/tables",
    "src/calibration",
    "src/controls",
    "src/coating",
  ],
  // What goes into a page that is saved from a notebook, and the page itself.
  "src/handout": [
    "src/charts",
    "src/paper",
    "src/ports",
    "src/document",
    "src/graph",
    "src/tasks",
    "src/colour",
  ],
  "src/handoutPage": [
    "cells/registry",
    "src/handout",
    "src/shell",
    "src/document",
    "src/graph",
    "src/workers",
    "src/tasks",
    "src/controls",
    "src/ports",
  ],
  "src/shell": [
    "src/handout",
    // For the version.
    "package.json",
    "src/tables",
    "cells/registry",
    "src/graph",
    "src/document",
    "src/ledger",
    "src/workers",
    "src/tasks",
    "src/controls",
    "src/ports",
    "src/colour",
    "data",
  ],
  "src/server": ["src/charts", "src/document", "src/ledger", "src/graph", "data"],
  "src/cli": [
    "src/handout",
    "src/ports",
    "src/paper",
    "src/job",
    "cells/registry",
    "src/graph",
    "src/document",
    "src/workers",
    "src/tables",
    "src/exchange",
    "src/shelf",
    "src/calibration",
    "src/ground",
    "src/recipes",
    "src/curves",
    "src/fit",
    "src/coating",
    "src/optics",
    "src/colour",
  ],
  "cells/registry": ["cells/*/define", "cells/*/view", "src/graph"],
  "cells/*/define": [
    "src/paper",
    "src/job",
    "src/ports",
    "src/ledger",
    "src/drawdowns",
    "src/judgement",
    "src/calibration",
    "src/ground",
    "src/recipes",
    "src/curves",
    "src/fit",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/tables",
    "src/graph",
    "src/exchange",
    "src/photo",
  ],
  "cells/*/view": [
    "own define",
    "src/charts",
    "src/controls",
    "src/drawdownEditor",
    "src/ledger",
    "src/drawdowns",
    "src/paper",
    "src/job",
    "src/ports",
    "src/judgement",
    "src/calibration",
    "src/ground",
    "src/recipes",
    "src/curves",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/tables",
    "src/exchange",
    "src/photo",
    "src/graph",
  ],
};

function placeOf(path: string): string {
  const parts = path.split("/");
  if (parts[0] === "cells") {
    if (parts.length === 2) return "cells/registry";
    return parts[2] === "define.ts" || parts[2] === "model" ? "cells/*/define" : "cells/*/view";
  }
  return parts[0] === "src" ? `src/${parts[1]}` : parts[0];
}

describe("imports point one way", () => {
  const files = [...sources("src"), ...sources("cells")].filter((name) => name.endsWith(".ts"));

  test("there are files to check", () => expect(files.length).toBeGreaterThan(50));

  test.each(files)("%s", (file) => {
    const from = placeOf(file);
    const wrong = importsOf(file).filter(({ path }) => {
      const to = placeOf(path);
      if (to === "src/words" || to === "src/units") return false;
      if (to === from && !from.startsWith("cells/*")) return false;
      if (from.startsWith("cells/*")) {
        const sameCell = path.split("/")[1] === file.split("/")[1];
        if (path.startsWith("cells/"))
          return !sameCell || (from === "cells/*/define" && to === "cells/*/view");
      }
      return !(allowed[from] ?? []).includes(to);
    });
    expect(wrong).toEqual([]);
  });

  test("no circle of files, imports of types included", () => {
    const open = new Map(files.map((file) => [file, importsOf(file).map(({ path }) => path)] as const));
    // Take away what imports nothing that is left, until nothing more can be taken away; then what nothing left imports.
    const ends = () => [...open].filter(([, paths]) => !paths.some((path) => open.has(path)));
    for (let next = ends(); next.length > 0; next = ends()) for (const [file] of next) open.delete(file);
    const begins = () => {
      const imported = new Set([...open.values()].flat());
      return [...open.keys()].filter((file) => !imported.has(file));
    };
    for (let next = begins(); next.length > 0; next = begins()) for (const file of next) open.delete(file);
    expect([...open.keys()]).toEqual([]);
  });

  test("every file is reached from where a program begins", () => {
    const reached = new Set<string>();
    const queue = [
      "vite.config.ts",
      "src/shell/main.ts",
      "src/shell/pair.ts",
      "src/cli/main.ts",
      "src/cli/kindThread.ts",
      "src/handoutPage/main.ts",
      "src/handoutPage/work.ts",
      ...sources("src/build"),
      ...sources("src/server").filter((file) => file.endsWith(".mjs") || file.endsWith("/main.ts")),
    ];
    for (let file = queue.pop(); file; file = queue.pop()) {
      if (reached.has(file)) continue;
      reached.add(file);
      // What a build makes is there only after it.
      queue.push(...importsOf(file).flatMap(({ path }) => (path.startsWith("dist/") ? [] : [path])));
    }
    expect(files.filter((file) => !file.endsWith(".d.ts") && !reached.has(file))).toEqual([]);
  });

  test("no circle of places", () => {
    const open = new Set(Object.keys(allowed));
    const ends = (place: string) => allowed[place].every((to) => to === place || !open.has(to));
    // Take away what imports nothing that is left, until nothing more can be taken away.
    for (let next = [...open].filter(ends); next.length > 0; next = [...open].filter(ends)) {
      for (const place of next) open.delete(place);
    }
    expect([...open]).toEqual([]);
  });

  test("the core knows no page", () => {
    const core = [
      "colour",
      "optics",
      "coating",
      "fit",
      "curves",
      "recipes",
      "ground",
      "judgement",
      "calibration",
      "shelf",
      "ledger",
      "drawdowns",
      "photo",
      "job",
      "paper",
      "charts",
      "ports",
    ].flatMap((room) => sources(`src/${room}`));
    const forbidden =
      /\b(document\.|window\.(?!length)|localStorage|navigator\.|Date\.now|new Date|performance\.now|Math\.random)|from "lit/;
    // The document that a chart is handed is no global.
    const strings = /"(?:[^"\\\n]|\\.)*"|`(?:[^`\\]|\\.)*`/g;
    const wrong = core.filter((file) =>
      forbidden.test(
        withoutComments(textOf(file)).replaceAll("context.document.", "").replace(strings, '""'),
      ),
    );
    expect(wrong).toEqual([]);
  });
});
