import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { describe, expect, test } from "vitest";

const root = resolve(import.meta.dirname, "..");

/** Which places each place may import from; a place may always import from itself. Nothing else points the other way. */
const allowed: Record<string, readonly string[]> = {
  "src/colour": [],
  "src/optics": ["src/colour"],
  "src/coating": ["src/optics", "src/colour"],
  "src/photo": ["src/colour"],
  "src/solve": ["src/coating", "src/optics", "src/colour"],
  "src/tables": ["src/colour", "src/optics", "src/coating", "data"],
  "src/exchange": ["src/tables", "src/colour", "src/optics"],
  "src/charts": [],
  "src/graph": [],
  "src/document": ["src/graph"],
  "src/workers": ["src/solve", "src/graph"],
  // Values that flow between cells, and the conversions they share.
  "src/ports": ["src/solve", "src/coating", "src/optics", "src/colour", "src/tables", "src/graph"],
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
    "cells/registry",
    "src/graph",
    "src/document",
    "src/workers",
    "src/tables",
    "src/exchange",
    "src/solve",
    "src/coating",
    "src/optics",
    "src/colour",
  ],
  "cells/registry": ["cells/*/define", "cells/*/view", "src/graph"],
  "cells/*/define": [
    "src/ports",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/solve",
    "src/tables",
    "src/graph",
    "src/exchange",
    "src/photo",
  ],
  "cells/*/view": [
    "own define",
    "src/charts",
    "src/controls",
    "src/ports",
    "src/coating",
    "src/optics",
    "src/colour",
    "src/tables",
    "src/exchange",
    "src/photo",
    "src/solve",
    "src/graph",
  ],
};

function placeOf(path: string): string {
  const parts = path.split("/");
  if (parts[0] === "cells") {
    if (parts.length === 2) return "cells/registry";
    return /^define/.test(parts[2]) ? "cells/*/define" : "cells/*/view";
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
        const sameCell = dirname(path) === dirname(file);
        if (path.startsWith("cells/"))
          return !sameCell || (from === "cells/*/define" && to === "cells/*/view");
      }
      return !(allowed[from] ?? []).includes(to);
    });
    expect(wrong).toEqual([]);
  });

  test("the core knows no page", () => {
    const core = ["src/colour", "src/optics", "src/coating", "src/solve", "src/charts", "src/ports"].flatMap(
      sources,
    );
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
