import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { parseSync } from "vite";

const root = resolve(import.meta.dirname, "..");

export interface SourceFile {
  /** from the project's folder, with slashes */
  path: string;
  text: string;
  /** the same without its comments: every other character keeps its place, and so does every line */
  code: string;
  comments: readonly { start: number; end: number; value: string }[];
  program: ReturnType<typeof parseSync>["program"];
}

/** A file taken apart by the parser of the build. */
export function sourceFile(path: string, text: string): SourceFile {
  const { program, comments } = parseSync(path, text);
  let code = "";
  let at = 0;
  for (const { start, end } of comments) {
    code += text.slice(at, start) + text.slice(start, end).replace(/[^\n]/g, " ");
    at = end;
  }
  return { path, text, code: code + text.slice(at), comments, program };
}

/** Every TypeScript file of `src` and `cells`. */
export function sourceFiles(): SourceFile[] {
  return ["src", "cells"].flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: "utf8" })
      .filter((name) => name.endsWith(".ts"))
      .sort()
      .map((name) => {
        const path = `${folder}/${name.replaceAll("\\", "/")}`;
        return sourceFile(path, readFileSync(join(root, path), "utf8"));
      }),
  );
}

/** Lines that hold more than blanks and comments. */
export const linesOfCode = ({ code }: SourceFile): number =>
  code.split("\n").filter((line) => line.trim() !== "").length;

/** Line of a place in a text, from 1. */
export function lineAt(text: string, place: number): number {
  let line = 1;
  for (let i = text.indexOf("\n"); i >= 0 && i < place; i = text.indexOf("\n", i + 1)) line++;
  return line;
}
