import { readdirSync } from "node:fs";

/** Names of all notebooks that come with the project. */
export const examples: readonly string[] = readdirSync("data/examples")
  .filter((name) => name.endsWith(".json"))
  .map((name) => name.replace(/(?:\.bole)?\.json$/, ""));
