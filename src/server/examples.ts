const files = import.meta.glob<string>("../../data/examples/*.json", {
  query: "?raw",
  import: "default",
  eager: true,
});

/** Example notebooks that a new folder starts with: name → text. */
export const examples: Record<string, string> = Object.fromEntries(
  Object.entries(files).map(([path, text]) => [
    path.slice(path.lastIndexOf("/") + 1).replace(/(?:\.bole)?\.json$/, ""),
    text,
  ]),
);
