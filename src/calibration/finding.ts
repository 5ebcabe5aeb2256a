/** What a finding is about; for code that reacts to it. The text says it in words. */
type FindingCode =
  | "nothing-to-fit"
  | "impossible-values"
  | "grounds-alike"
  | "duplicate-reading"
  | "same-label"
  | "white-below-black"
  | "not-one-film"
  | "below-surface-reflection"
  | "beyond-any-paint"
  | "single-drawdown"
  | "thickness-and-strength"
  | "only-the-ratio"
  | "too-clear"
  | "weak-wavelengths"
  | "weak-strength"
  | "thickness-disagrees"
  | "thickness-bias"
  | "hangs-on-companion"
  | "outlier"
  | "misfit"
  | "thin-strong-film"
  | "per-amount"
  | "surface-estimated"
  | "smoothed"
  | "noise-differs"
  | "quality";

/** One sentence or two about the data or the result. */
export interface Finding {
  readonly code: FindingCode;
  /** "refused": no K and S come out; "caution": use with care; "note": good to know */
  readonly severity: "refused" | "caution" | "note";
  readonly text: string;
  /** labels of the drawdowns it speaks of */
  readonly drawdowns: readonly string[];
}

/** Adds a finding to a list; `drawdowns` are the labels it speaks of. */
export type Add = (
  code: FindingCode,
  severity: Finding["severity"],
  text: string,
  drawdowns?: readonly string[],
) => void;

/** Where findings are gathered. */
export function gathering(): { findings: Finding[]; add: Add } {
  const findings: Finding[] = [];
  return {
    findings,
    add: (code, severity, text, drawdowns = []) => findings.push({ code, severity, text, drawdowns }),
  };
}

const severities = ["refused", "caution", "note"] as const;

/** The same findings, the most severe first. */
export function mostSevereFirst(findings: readonly Finding[]): Finding[] {
  return [...findings].sort((a, b) => severities.indexOf(a.severity) - severities.indexOf(b.severity));
}

/** "A", "A and B", "A, B and C". */
export function listOf(names: readonly string[]): string {
  if (names.length <= 1) return names.join("");
  return `${names.slice(0, -1).join(", ")} and ${names[names.length - 1]}`;
}

/** Names wavelengths, runs joined: "400–420 and 560 nm"; many runs are cut short. */
export function placesOf(wavelengths: ArrayLike<number>, marked: (i: number) => boolean): string {
  const runs: string[] = [];
  for (let i = 0; i < wavelengths.length; i++) {
    if (!marked(i)) continue;
    let last = i;
    for (; last + 1 < wavelengths.length && marked(last + 1); last++);
    runs.push(last === i ? `${wavelengths[i]}` : `${wavelengths[i]}–${wavelengths[last]}`);
    i = last;
  }
  if (runs.length > 5) return `${runs.slice(0, 5).join(", ")} nm and ${runs.length - 5} more places`;
  return `${listOf(runs)} nm`;
}

/** A share in per cent: one decimal below ten. */
export function percent(share: number): string {
  if (!(share < 9.995)) return "more than 1000 %";
  const value = share * 100;
  if (value < 0.05) return "less than 0.1 %";
  return `${value < 9.95 ? value.toFixed(1).replace(/\.0$/, "") : Math.round(value)} %`;
}
