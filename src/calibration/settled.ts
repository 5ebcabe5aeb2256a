import { placesOf } from "./finding.ts";
import type { WavelengthStatus } from "./identifiability.ts";

/** Where K and S are settled, where only one of them or their ratio is, where nothing. */
export function settledWords(status: readonly WavelengthStatus[], wavelengths: ArrayLike<number>): string {
  const at = (kind: WavelengthStatus) => placesOf(wavelengths, (i) => status[i] === kind);
  const has = (kind: WavelengthStatus) => status.includes(kind);
  if (status.every((one) => one === "both")) return "K and S are both settled at every wavelength.";
  const parts = [
    has("both") ? `K and S are both settled at ${at("both")}` : "",
    has("absorption") ? `only K at ${at("absorption")} (S is lost in it)` : "",
    has("scattering") ? `only S at ${at("scattering")}` : "",
    has("ratio") ? `only the ratio K/S at ${at("ratio")}` : "",
    has("nothing") ? `nothing at ${at("nothing")}` : "",
  ].filter(Boolean);
  const [first, ...rest] = parts;
  return `${[first.slice(0, 1).toUpperCase() + first.slice(1), ...rest].join("; ")}.`;
}

/** Rows of the picture that goes with `settledWords`; those that hold nowhere are left out. */
export function settledRows(status: readonly WavelengthStatus[]): { label: string; holds: boolean[] }[] {
  const row = (label: string, ...kinds: WavelengthStatus[]) => ({
    label,
    holds: status.map((one) => kinds.includes(one)),
  });
  const always = [row("K settled", "both", "absorption"), row("S settled", "both", "scattering")];
  const sometimes = [row("only K/S", "ratio"), row("nothing", "nothing")];
  return [...always, ...sometimes.filter(({ holds }) => holds.includes(true))];
}
