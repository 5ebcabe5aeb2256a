import type { Outcome } from "../graph/outcome.ts";

/** How it stands with a cell: a sign, a word, and a name for style sheets. */
interface CellState {
  readonly name: "ok" | "toGive" | "error" | "blocked" | "running";
  readonly mark: string;
  readonly word: string;
}

const states = {
  ok: ["✓", "ready"],
  toGive: ["○", "to begin"],
  error: ["!", "needs you"],
  blocked: ["…", "waits"],
  running: ["↻", "computing"],
} as const;

export function cellState(outcome: Outcome): CellState {
  const name = outcome.status === "error" && outcome.toGive ? "toGive" : outcome.status;
  const [mark, word] = states[name];
  return { name, mark, word };
}
