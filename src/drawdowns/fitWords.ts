import type { TableCalibration } from "./calibrateTable.ts";

/** Figures for those who want to know how the fit went. */
export function fitWords({ spectral, quick }: TableCalibration): string {
  if (quick)
    return "K is a curve of nine numbers along the spectrum, S a power of the wavelength; both held near what pigments are usually like.";
  if (!spectral) return "";
  const { search, rank, unknowns, noiseScale, k2 } = spectral;
  return [
    `${search.steps} steps to the answer`,
    `${rank} of ${unknowns} shared unknowns settled`,
    `noise found ${noiseScale.toFixed(2)} times the stated one`,
    `k2 ${k2.value.toFixed(3)}${k2.sigma > 0 ? ` ± ${k2.sigma.toFixed(3)}` : ", as stated"}`,
  ].join("; ");
}
