import type { Plugin } from "vite";

/** Styles in a program without what only its readers need: comments and indentation. */
export function shortened(program: string): string {
  return program.replace(/\bcss`[^`]*`/g, (styles) =>
    styles.replace(/\/\*[\s\S]*?\*\//g, "").replace(/\n\s+/g, "\n"),
  );
}

/** Shortens the styles of elements in a build: they are text, which no minifier of programs touches. */
export function shortStyles(): Plugin {
  return {
    name: "bole-short-styles",
    apply: "build",
    enforce: "pre",
    transform: (program, id) =>
      /\.ts$/.test(id) && program.includes("css`") ? shortened(program) : undefined,
  };
}
