import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { describe, expect, test } from "vitest";

const root = resolve(import.meta.dirname, "..");

/** Which places each place may import from; a place may always import from itself. Nothing else points the other way. */
const allowed: Record<string, readonly string[]> = {
  "src/colour": [],
  "src/optics": ["src/colour"],
  "src/coating": ["src/optics", "src/colour"],
  "src/fit": ["src/colour"],
  "src/curves": ["src/fit", "src/colour"],
  "src/recipes": ["src/fit", "src/coating", "src/optics", "src/colour"],
  "src/ground": ["src/recipes", "src/fit", "src/coating", "src/optics", "src/colour"],
  "src/calibration": ["src/curves", "src/fit", "src/coating", "src/optics", "src/colour"],
  "src/photo": ["src/colour"],
  "src/tables": ["src/colour", "src/optics", "src/coating", "data"],
  "src/exchange": ["src/tables", "src/colour", "src/optics"],
  "src/charts": [],
  "src/graph": [],
  "src/document": ["src/graph"],
  "src/workers": [
    "src/exchange",
    "src/tables",
    "src/calibration",
    "src/ground",
    "src/recipes",
    "src/fit",
    "src/graph",
  ],
  // Values that flow between cells, and the conversions they share.
  "src/ports": [
    "src/ground",
    "src/recipes",
    "src/curves",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/tables",
    "src/graph",
    "src/fit",
  ],
  "src/job": ["src/ports", "src/coating", "src/optics", "src/colour", "src/tables", "src/graph"],
  "src/paper": ["src/job", "src/ports", "src/coating", "src/colour"],
  "src/controls": ["src/graph", "src/colour"],
  "src/shell": [
    "src/tables",
    "cells/registry",
    "src/graph",
    "src/document",
    "src/workers",
    "src/controls",
    "src/ports",
    "src/colour",
  ],
  "src/server": ["src/document", "data"],
  "src/cli": [
    "src/ports",
    "src/paper",
    "src/job",
    "cells/registry",
    "src/graph",
    "src/document",
    "src/workers",
    "src/tables",
    "src/exchange",
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
    "src/paper",
    "src/job",
    "src/ports",
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

function sources(folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts"))
    .map((name) => `${folder}/${name.replaceAll("\\", "/")}`);
}

function importsOf(file: string): string[] {
  const text = readFileSync(join(root, file), "utf8");
  return [...text.matchAll(/(?:from|import)\s*\(?\s*"(\.{1,2}\/[^"]+)"/g)].map(([, path]) =>
    relative(root, resolve(root, dirname(file), path)).replaceAll("\\", "/"),
  );
}

describe("imports point one way", () => {
  const files = [...sources("src"), ...sources("cells")];

  test("there are files to check", () => expect(files.length).toBeGreaterThan(50));

  test.each(files)("%s", (file) => {
    const from = placeOf(file);
    const wrong = importsOf(file).filter((path) => {
      const to = placeOf(path);
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
      "calibration",
      "job",
      "paper",
      "charts",
      "ports",
    ].flatMap((room) => sources(`src/${room}`));
    const forbidden =
      /\b(document\.|window\.(?!length)|localStorage|navigator\.|Date\.now|new Date|performance\.now|Math\.random)|from "lit/;
    const wrong = core.filter((file) =>
      forbidden.test(withoutComments(readFileSync(join(root, file), "utf8"))),
    );
    expect(wrong).toEqual([]);
  });
});

function withoutComments(text: string): string {
  return text
    .replace(/\/\*[\s\S]*?\*\//g, "")
    .replace(/\/\/.*$/gm, "")
    .replace(/"(?:[^"\\]|\\.)*"|`(?:[^`\\]|\\.)*`/g, '""');
}
