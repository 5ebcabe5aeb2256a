import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";

const root = resolve(import.meta.dirname, "..");

/** All programs in a folder, as paths from the project folder. */
export function sources(folder: string): string[] {
  return readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
    .filter((name) => /\.m?ts$|\.mjs$/.test(name))
    .map((name) => `${folder}/${name.replaceAll("\\", "/")}`);
}

export const textOf = (file: string) => readFileSync(join(root, file), "utf8");

/** Comments begin after a space: what looks like one within a path or an address is none. */
export function withoutComments(text: string): string {
  return text.replace(/(^|\s)\/\*[\s\S]*?\*\//g, "$1").replace(/(^|\s)\/\/.*$/gm, "$1");
}

/** One file that another imports. */
export interface Import {
  /** From the project folder. */
  readonly path: string;
  /** What is taken from it by name; undefined where anything may be taken. */
  readonly names: readonly string[] | undefined;
}

const known = new Map<string, Import[]>();

/** What a file imports of the project: in lines at its top, when first needed, as a worker, or by a pattern of paths. */
export function importsOf(file: string): Import[] {
  const before = known.get(file);
  if (before) return before;
  const text = withoutComments(textOf(file));
  const at = (path: string) =>
    relative(root, resolve(root, dirname(file), path.replace(/\?.*/, ""))).replaceAll("\\", "/");
  const lines = [
    ...text.matchAll(/^(?:import|export)\s+(?:type\s+)?([^"';=]*?)(?:\s*from\s*)?"(\.[^"]+)"/gm),
  ];
  const found: Import[] = lines.map(([, clause, path]) => ({
    path: at(path),
    names: clause.includes("*") ? undefined : namesIn(clause),
  }));
  const later = [...text.matchAll(/(?:\bimport\(\s*|new URL\()"(\.[^"]+)"/g)];
  // Which names a later import takes is not read from its line: any word of the file may be one.
  const words = new Set(text.match(/\w+/g));
  found.push(...later.map(([, path]) => ({ path: at(path), names: ["default", ...words] })));
  for (const [, pattern] of text.matchAll(/import\.meta\.glob(?:<[^(]*>)?\("(\.[^"]+)"/g)) {
    const matches = new RegExp(`^${at(pattern).replaceAll(".", "\\.").replaceAll("*", "[^/]*")}$`);
    const paths = [...sources("src"), ...sources("cells")].filter((path) => matches.test(path));
    found.push(...paths.map((path) => ({ path, names: ["default"] })));
  }
  known.set(file, found);
  return found;
}

/** The names that a clause such as `x, { a, type b as c }` takes from a file. */
function namesIn(clause: string): string[] {
  const [, first, list = ""] = /^\s*(\w+)?\s*,?\s*(?:\{([^}]*)\})?/.exec(clause) ?? [];
  const named = list.split(",").map((one) =>
    one
      .trim()
      .replace(/^type\s+/, "")
      .replace(/\s+as\s+.*$/, ""),
  );
  return [...(first ? ["default"] : []), ...named.filter(Boolean)];
}

/** What a file offers to others by name. A class that is an element is taken by its tag. */
export function exportsOf(file: string): string[] {
  const text = withoutComments(textOf(file));
  const plain = text.matchAll(
    /(@customElement\([^)]*\)\s*)?^export\s+(?:declare\s+|abstract\s+|async\s+)*(?:const|let|function\*?|class|interface|type|enum)\s+(\w+)/gm,
  );
  const lists = text.matchAll(/^export\s+(?:const\s+|type\s+)?\{([^}]*)\}/gm);
  return [
    ...[...plain].filter(([, element]) => !element).map(([, , name]) => name),
    ...[...lists]
      .flatMap(([, list]) =>
        list.split(",").map((one) =>
          one
            .trim()
            .replace(/^type\s+/, "")
            .replace(/^.*\s(as|:)\s+/, ""),
        ),
      )
      .filter(Boolean),
    ...(/^export default /m.test(text) ? ["default"] : []),
  ];
}
