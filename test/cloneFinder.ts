import type { SourceFile } from "./sourceFiles.ts";

/** Ten lines that say the same are one thing written twice. */
export const leastLines = 10;
/** Ten lines of fewer tokens are lists of names, which have to be written where they are used. */
const leastTokens = 50;

/** The same tokens in two places, as far as they go. */
export interface Clone {
  first: { path: string; line: number };
  second: { path: string; line: number };
  lines: number;
  /** the line it begins with, in the first place */
  begins: string;
}

/** All tokens of all files, one after another; no run of tokens goes from one file into the next. */
class TokenList {
  readonly ids: number[] = [];
  readonly lines: number[] = [];
  readonly files: number[] = [];
  readonly #known = new Map<string, number>();

  constructor(files: readonly SourceFile[]) {
    const token = /[\w$#]+|"(?:\\.|[^"\\\n])*"|=>|[!=]==?|\S/g;
    for (const [file, source] of files.entries()) {
      for (const [index, line] of withoutImports(source).split("\n").entries())
        for (const [text] of line.matchAll(token)) this.#add(text, index + 1, file);
      this.#add(`end of ${file}`, 0, file);
    }
  }

  #add(text: string, line: number, file: number): void {
    let id = this.#known.get(text);
    if (id === undefined) this.#known.set(text, (id = this.#known.size + 1));
    this.ids.push(id);
    this.lines.push(line);
    this.files.push(file);
  }

  /** How many tokens are the same from two places on. */
  same(a: number, b: number): number {
    let length = 0;
    // A text that goes on like itself is not a copy of what it overlaps.
    const most = this.files[a] === this.files[b] ? b - a : this.ids.length - b;
    while (length < most && this.ids[a + length] === this.ids[b + length]) length++;
    return length;
  }

  /** Places by what the next tokens are, as a number; different tokens may rarely give the same one. */
  places(length: number): Map<number, number[]> {
    const factor = 31;
    let leading = 1;
    for (let i = 1; i < length; i++) leading = Math.imul(leading, factor);
    const places = new Map<number, number[]>();
    let hash = 0;
    for (let i = 0; i < this.ids.length; i++) {
      if (i >= length) hash = (hash - Math.imul(this.ids[i - length], leading)) | 0;
      hash = (Math.imul(hash, factor) + this.ids[i]) | 0;
      if (i < length - 1) continue;
      const from = i - length + 1;
      const before = places.get(hash);
      if (before) before.push(from);
      else places.set(hash, [from]);
    }
    return places;
  }
}

/** Two files that need the same do not say the same: their imports are blanked, to the line. */
function withoutImports({ code, program }: SourceFile): string {
  let rest = "";
  let at = 0;
  for (const { type, start, end } of program.body) {
    if (type !== "ImportDeclaration") continue;
    rest += code.slice(at, start) + code.slice(start, end).replace(/[^\n]/g, " ");
    at = end;
  }
  return rest + code.slice(at);
}

/**
 * Every pair of places in which the same tokens stand over at least ten lines. Comments, imports, blanks and line breaks
 * do not count; names do, so a copy with other names is not found.
 */
export function findClones(files: readonly SourceFile[]): Clone[] {
  const tokens = new TokenList(files);
  const { ids, lines } = tokens;
  const clones: Clone[] = [];
  const placeOf = (at: number) => ({ path: files[tokens.files[at]].path, line: lines[at] });
  for (const places of tokens.places(leastTokens).values()) {
    for (const [k, b] of places.entries()) {
      for (const a of places.slice(0, k)) {
        // Found already where it begins.
        if (a > 0 && ids[a - 1] === ids[b - 1] && tokens.files[a - 1] === tokens.files[a]) continue;
        const length = tokens.same(a, b);
        if (length < leastTokens) continue;
        const spans = [a, b].map((at) => lines[at + length - 1] - lines[at] + 1);
        if (Math.min(...spans) < leastLines) continue;
        const text = files[tokens.files[a]].text.split("\n")[lines[a] - 1];
        clones.push({
          first: placeOf(a),
          second: placeOf(b),
          lines: Math.max(...spans),
          begins: text.trim(),
        });
      }
    }
  }
  return clones.sort((p, q) => q.lines - p.lines);
}
