import { EigenvalueDecomposition, Matrix } from "ml-matrix";
import type { Compiled, Estimate } from "./compiled.ts";
import type { Uncertainty } from "./covariance.ts";
import { createFilmParts, createFilmSlopes, filmPartsInto, filmSlopesInto } from "./filmSlopes.ts";
import { type Finding, gathering, listOf, percent, placesOf } from "./finding.ts";
import { median } from "./noise.ts";
import { fractionsOf, mixInto, thicknessOf } from "./predict.ts";

/**
 * What the drawdowns settle at one wavelength: both K and S, one of them (the other is lost in it), only their ratio,
 * or nothing.
 */
export type WavelengthStatus = "both" | "absorption" | "scattering" | "ratio" | "nothing";

/** What the readings can tell and what not. */
export interface Identifiability {
  readonly status: readonly WavelengthStatus[];
  /** relative 1σ of the overall strength (K and S together) that comes from thickness alone, median over wavelengths */
  readonly strengthSigma: number;
  /** shared unknowns (thicknesses, k2) that the readings settle, of how many */
  readonly rank: number;
  readonly unknowns: number;
  /** largest ÷ smallest information about the shared unknowns */
  readonly condition: number;
  readonly findings: readonly Finding[];
}

/** Relative 1σ up to which a coefficient counts as settled. */
const settled = 0.3;

/** Relative 1σ up to which K/S counts as settled. */
const settledRatio = 0.2;

/** A coefficient whose whole film changes reflectance by less than about this is as good as 0. */
const negligible = 0.02;

/** Share of the wavelengths at which a coefficient must be settled, rather than merely small. */
const leastSeen = 0.15;

/** Relative 1σ of the strength, from thickness, above which the result is refused; and above which it is told. */
const strengthLimit = 0.3;
const strengthWorthTelling = 0.05;

/** 1σ of a shared unknown above which it counts as not settled. */
const sharedLimit = 0.7;

/** Above this condition a solution hangs on the last digits of the readings. */
const sternCondition = 1e8;

/**
 * Judges what the data settle, from the covariance that the data alone give.
 *
 * @param uncertainty with `dataAlone`: unmeasured thicknesses count as unknown
 */
export function identify(
  compiled: Compiled,
  estimate: Estimate,
  uncertainty: Uncertainty,
  wavelengths: ArrayLike<number>,
): Identifiability {
  const { n, m } = compiled;
  const { absorptionSigma, scatteringSigma, absorptionSigmaAlone, scatteringSigmaAlone, correlation } =
    uncertainty;
  const paint = mostPaste(compiled, estimate);
  const status: WavelengthStatus[] = [];
  const byThickness: number[] = [];
  let seen = 0;
  const hidden = hiddenGround(compiled, estimate);
  for (let i = 0; i < n; i++) {
    const K = estimate.local[i * m];
    const S = estimate.local[i * m + 1];
    const relativeK = absorptionSigma[i] / K;
    const relativeS = scatteringSigma[i] / S;
    const hasK = relativeK <= settled || (K + 1.645 * absorptionSigma[i]) * paint < negligible;
    const hasS = relativeS <= settled || (S + 1.645 * scatteringSigma[i]) * paint < negligible;
    const ratio = Math.sqrt(
      Math.max(relativeK ** 2 + relativeS ** 2 - 2 * correlation[i] * relativeK * relativeS, 0),
    );
    if (hasK && hasS) status.push("both");
    else if (hasK) status.push("absorption");
    else if (hasS) status.push("scattering");
    else status.push(ratio <= settledRatio ? "ratio" : "nothing");
    if (relativeK <= settled || relativeS <= settled) seen++;
    // The part that comes through the thicknesses, of the better settled of the two coefficients.
    const shares = [
      [K, absorptionSigma[i], absorptionSigmaAlone[i]],
      [S, scatteringSigma[i], scatteringSigmaAlone[i]],
    ].filter(([value, , alone]) => value > 0 && alone <= settled * value);
    if (shares.length === 0) continue;
    byThickness.push(
      Math.min(...shares.map(([value, all, alone]) => Math.sqrt(Math.max(all ** 2 - alone ** 2, 0)) / value)),
    );
  }
  const strengthSigma = median(byThickness);
  const { rank, condition } = sharedInformation(compiled, uncertainty);
  const result = { status, strengthSigma, rank, unknowns: compiled.p, condition };
  return { ...result, findings: verdict(compiled, { ...result, seen, hidden }, wavelengths) };
}

/** Largest amount of paste in any film that can be seen through, µm of its own dry film; Infinity when all are opaque. */
function mostPaste(compiled: Compiled, estimate: Estimate): number {
  let most = 0;
  for (let f = 0; f < compiled.films; f++) {
    if (compiled.used[f] === 0) continue;
    const X = thicknessOf(compiled, estimate, f);
    const paste = compiled.fractions[f * compiled.components];
    if (paste > 0) most = Math.max(most, paste * X);
  }
  return most;
}

/** Wavelengths at which no film with paste lets its ground be seen: reflectance changes by less than 2 % of the ground's. */
function hiddenGround(compiled: Compiled, estimate: Estimate): boolean[] {
  const { n, films, used } = compiled;
  const film = { K: 0, S: 0 };
  const parts = createFilmParts();
  const slopes = createFilmSlopes();
  return Array.from({ length: n }, (_, i) => {
    for (let f = 0; f < films; f++) {
      const X = thicknessOf(compiled, estimate, f);
      const fractions = fractionsOf(compiled, f);
      if (used[f] === 0 || X === Number.POSITIVE_INFINITY || fractions[0] === 0) continue;
      mixInto(compiled, estimate, i, fractions, film);
      filmPartsInto(film.K, film.S, X, parts);
      filmSlopesInto(parts, X, 0.5, slopes);
      if (slopes.dRg > 0.02) return false;
    }
    return true;
  });
}

function sharedInformation(
  compiled: Compiled,
  { sharedCovariance }: Uncertainty,
): { rank: number; condition: number } {
  const { p, sharedOfFilm, used } = compiled;
  const present = Array.from({ length: p }, (_, s) => s).filter((s) => {
    const film = sharedOfFilm.indexOf(s);
    return film < 0 || used[film] === 1;
  });
  if (present.length === 0) return { rank: 0, condition: 1 };
  const covariance = new Matrix(present.map((s) => present.map((t) => sharedCovariance[s * p + t])));
  const values = new EigenvalueDecomposition(covariance, { assumeSymmetric: true }).realEigenvalues;
  const largest = Math.max(...values);
  const smallest = Math.max(Math.min(...values), 1e-300);
  // Eigenvectors are combinations; what is settled is counted by their σ.
  const unsettled = values.filter((value) => Math.sqrt(Math.max(value, 0)) > sharedLimit).length;
  return { rank: p - unsettled, condition: largest / smallest };
}

/** The verdict, in the order it is read: what refuses first, then cautions and notes; long because it is a list. */
function verdict(
  compiled: Compiled,
  {
    status,
    strengthSigma,
    condition,
    seen,
    hidden,
  }: Omit<Identifiability, "findings"> & { seen: number; hidden: readonly boolean[] },
  wavelengths: ArrayLike<number>,
): Finding[] {
  const { findings, add } = gathering();
  const n = status.length;
  const count = (...kinds: WavelengthStatus[]): number => status.filter((one) => kinds.includes(one)).length;
  const unmeasured = compiled.problem.drawdowns
    .filter((drawdown, f) => compiled.used[f] === 1 && drawdown.thickness.kind === "unknown")
    .map(({ label }) => label);
  if (strengthSigma > strengthLimit) {
    add(
      "thickness-and-strength",
      "refused",
      "Thickness and strength cannot be told apart from these panels: a thin film of a strong paste looks like a thick " +
        "film of a weak one. Add one let-down with the known white, or measure one film" +
        `${unmeasured.length > 0 ? ` (no thickness is known of ${listOf(unmeasured.slice(0, 4))}${unmeasured.length > 4 ? " and others" : ""})` : ""}.`,
      unmeasured,
    );
    return findings;
  }
  const weak = count("ratio", "nothing");
  const hiding = status.filter((one, i) => (one === "ratio" || one === "nothing") && hidden[i]).length;
  if (weak > n / 2 && hiding >= weak / 2) {
    add(
      "only-the-ratio",
      "refused",
      `Only the ratio of absorption to scattering can be told at ${hiding} of ${n} wavelengths: the films hide the card ` +
        "completely, so nothing shows how much of each there is. Add a thinner film that lets the card show through, or " +
        "let-downs with the known white.",
    );
    return findings;
  }
  if (weak > n / 2 || seen < leastSeen * n) {
    add(
      "too-clear",
      "refused",
      "The paste changes the panels by hardly more than the noise: neither absorption nor scattering comes out of them " +
        `at ${Math.max(weak, n - seen)} of ${n} wavelengths. Use more paste or a thicker film, and average several readings.`,
    );
    return findings;
  }
  if (weak > 0) {
    add(
      "weak-wavelengths",
      "caution",
      `At ${placesOf(wavelengths, (i) => status[i] === "ratio" || status[i] === "nothing")} the panels settle neither K nor S well; look at the bands there.`,
    );
  }
  const lost = count("absorption");
  if (lost > 0) {
    add(
      "weak-wavelengths",
      "note",
      `At ${placesOf(wavelengths, (i) => status[i] === "absorption")} scattering is lost in the absorption: its band is ` +
        "wide there, and matters little for colour.",
    );
  }
  if (strengthSigma > strengthWorthTelling) {
    add(
      "weak-strength",
      "caution",
      `The overall strength is known only to ±${percent(strengthSigma)} (1σ), because thickness is in doubt; the shape of ` +
        "the curves is better known. One measured film or one let-down with the known white would mend that.",
      unmeasured,
    );
  }
  if (condition > sternCondition && strengthSigma > strengthWorthTelling) {
    add(
      "weak-strength",
      "caution",
      `Some thicknesses hang on each other: the best known is settled ${Math.sqrt(condition).toExponential(0)} times better than the worst.`,
      unmeasured,
    );
  }
  return findings;
}
