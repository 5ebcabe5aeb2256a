import { createArrowSystem, factorArrow, solveFactored } from "../fit/arrowSystem.ts";
import { invertTwoGrounds } from "../optics/inversion.ts";
import type { Compiled, Estimate } from "./compiled.ts";
import { createFilmParts, createFilmSlopes, filmPartsInto, filmSlopesInto } from "./filmSlopes.ts";

/** What one film says about K and S at one wavelength before any fitting. */
type LinearReading = {
  film: number;
  wavelength: number;
  /** relative error expected of the values */
  error: number;
} & (
  | { kind: "both" /** KX and SX from two grounds */; absorptionPower: number; scatteringPower: number }
  | { kind: "ratio" /** K/S from an opaque film */; ratio: number }
);

/**
 * Where the search for K, S and thicknesses begins. Films seen through to two grounds give KX and SX (two-ground
 * inversion), opaque ones K/S; with 1/X as unknown every one of these is a linear equation in K, S of the paste and
 * 1/X, solved for all wavelengths and films at once. Where that leaves a wavelength badly described (one ground only,
 * noise), a coarse grid of K/S and SX takes over there.
 *
 * Source: opaque mixtures: Walowit, McCarthy, Berns 1987 (from memory); the equations with 1/X: mixing law
 * KX = X·Σ c_j·K_j (Duncan 1940, from memory), divided by X.
 */
export function startEstimate(compiled: Compiled): Estimate {
  const { n, m, localOfComponent, localOfGround, localMean, sharedMean, sharedOfFilm } = compiled;
  const estimate: Estimate = { local: new Float64Array(n * m), shared: sharedMean.slice() };
  const isPrior = new Uint8Array(m);
  for (const u of localOfComponent.subarray(1)) if (u >= 0) isPrior.fill(1, u, u + 2);
  for (const u of localOfGround) if (u >= 0) isPrior[u] = 1;
  for (let k = 0; k < n * m; k++) if (isPrior[k % m] === 1) estimate.local[k] = Math.max(localMean[k], 0);

  const typical = compiled.typicalThickness;
  const linear = solveLinear(compiled, linearReadings(compiled), typical);
  for (let f = 0; f < compiled.films; f++) {
    const s = sharedOfFilm[f];
    if (s >= 0)
      estimate.shared[s] = sharedMean[s] - Math.log(Math.max(0.05, Math.min(20, linear.perThickness[f])));
  }
  for (let i = 0; i < n; i++) {
    const K = linear.absorption[i];
    const S = linear.scattering[i];
    const usable = K >= 0 && S >= 0 && K < 1e9 && S < 1e9;
    let best = usable ? [K, S] : [1 / typical, 1 / typical];
    let least = misfit(compiled, estimate, i, best[0], best[1]);
    // Ten standard deviations off on average: no start for a Gauss-Newton step.
    if (!usable || least > 100 * readingsAt(compiled, i)) {
      for (let a = 0; a < 13; a++) {
        for (let b = 0; b < 9; b++) {
          const scattering = 10 ** (-2.5 + 0.5 * b) / typical;
          const absorption = scattering * 10 ** (-3 + 0.5 * a);
          const value = misfit(compiled, estimate, i, absorption, scattering);
          if (value < least) {
            least = value;
            best = [absorption, scattering];
          }
        }
      }
    }
    estimate.local[i * m] = Math.max(best[0], 1e-6 / typical);
    estimate.local[i * m + 1] = Math.max(best[1], 1e-6 / typical);
  }
  return estimate;
}

/** Internal reflectance of a value with the specular part included, held inside what a film can give. */
function internalOf(value: number, k1: number, k2: number): number {
  const left = value - k1;
  const below = (1 - k1) * (1 - k2) + k2 * left;
  const R = below > 0 ? left / below : 0;
  return Math.max(1e-4, Math.min(0.995, R));
}

function linearReadings(compiled: Compiled): LinearReading[] {
  const { n, films, grounds, readings, firstReading, groundOf, values, inverseSigma, k1, k2, used } =
    compiled;
  const found: LinearReading[] = [];
  const internal = new Float64Array(grounds);
  for (let i = 0; i < n; i++) {
    for (let g = 0; g < grounds; g++) {
      const value = compiled.groundValues[i * grounds + g];
      internal[g] = compiled.groundInternal[g] === 1 ? value : internalOf(value, k1, k2);
    }
    for (let f = 0; f < films; f++) {
      if (used[f] === 0) continue;
      let dark = -1;
      let light = -1;
      for (let r = firstReading[f]; r < firstReading[f + 1]; r++) {
        if (inverseSigma[i * readings + r] === 0) continue;
        if (dark < 0 || internal[groundOf[r]] < internal[groundOf[dark]]) dark = r;
        if (light < 0 || internal[groundOf[r]] > internal[groundOf[light]]) light = r;
      }
      if (dark < 0) continue;
      const Rb = internalOf(values[i * readings + dark], k1, k2);
      const Rw = internalOf(values[i * readings + light], k1, k2);
      // Noise of the internal reflectance: dR/dRm = (1 − k2R)²/((1 − k1)(1 − k2)).
      const noise = ((1 - k2 * Rb) ** 2 / ((1 - k1) * (1 - k2)) / inverseSigma[i * readings + dark]) * 1.5;
      const opaque = compiled.sharedOfFilm[f] < 0;
      const blackGround = internal[groundOf[dark]];
      const whiteGround = internal[groundOf[light]];
      const two = whiteGround - blackGround > 0.1;
      if (opaque || (two && Rw - Rb < 2 * noise)) {
        const R = (Rb + Rw) / 2;
        const ratio = (1 - R) ** 2 / (2 * R);
        const error = 0.02 + (noise * (1 - R * R)) / (2 * R * R) / Math.max(ratio, 1e-6);
        found.push({ film: f, wavelength: i, kind: "ratio", ratio, error });
      } else if (two) {
        const powers = tryInvert(Rb, Rw, blackGround, whiteGround, Math.max(noise, 1e-6));
        if (powers === undefined) continue;
        const [absorptionPower, scatteringPower] = powers;
        const error = 0.02 + (2 * noise) / (Rw - Rb);
        found.push({ film: f, wavelength: i, kind: "both", absorptionPower, scatteringPower, error });
      }
    }
  }
  return found;
}

function tryInvert(
  Rb: number,
  Rw: number,
  black: number,
  white: number,
  noise: number,
): [number, number] | undefined {
  try {
    const { absorptionPower, scatteringPower } = invertTwoGrounds({
      ...{ overBlack: [Rb], overWhite: [Rw], black: [black], white: [white], noise },
    });
    const [KX, SX] = [absorptionPower[0], scatteringPower[0]];
    return KX < 1e6 && SX < 1e6 ? [Math.max(KX, 0), Math.max(SX, 0)] : undefined;
  } catch {
    return undefined; // no film gives these readings; the grid search below still finds the nearest one
  }
}

interface LinearStart {
  absorption: Float64Array;
  scattering: Float64Array;
  /** X at the start of the search ÷ X found, for each film */
  perThickness: Float64Array;
}

function solveLinear(compiled: Compiled, found: LinearReading[], typical: number): LinearStart {
  const { n, films, components, fractions, known, sharedMean, sharedPrecision, sharedOfFilm, loose } =
    compiled;
  const system = createArrowSystem(n * 2, 1, films);
  const { band, border, corner, localSide, sharedSide } = system;
  // A weak pull towards SX = 1 and y = 1 keeps what no equation speaks of finite.
  const pull = 1e-6;
  for (let i = 0; i < n; i++) {
    band[(i * 2 + 1) * 2] += pull * typical * typical;
    localSide[i * 2 + 1] += pull * typical;
    band[i * 2 * 2] += pull * 1e-3 * typical * typical;
  }
  for (let f = 0; f < films; f++) {
    const s = sharedOfFilm[f];
    const precision = s < 0 ? 1 : loose[s] === 1 ? 1e-4 : sharedPrecision[s];
    corner[f * films + f] += precision;
    sharedSide[f] += precision;
  }
  for (const reading of found) {
    const { film: f, wavelength: i } = reading;
    let othersK = 0;
    let othersS = 0;
    for (let j = 1; j < components; j++) {
      othersK += fractions[f * components + j] * known[(i * components + j) * 2];
      othersS += fractions[f * components + j] * known[(i * components + j) * 2 + 1];
    }
    const c = fractions[f * components];
    const X = sharedOfFilm[f] < 0 ? typical : Math.exp(sharedMean[sharedOfFilm[f]]);
    if (reading.kind === "ratio") {
      // c·K − q·c·S = −Σ c_j(K_j − q·S_j)
      const q = reading.ratio;
      const scale = 1 / (reading.error * (q * (othersS + c / typical) + 1e-3 / typical));
      const row = [c * scale, -q * c * scale];
      const side = (q * othersS - othersK) * scale;
      addLocal(i, row[0], row[1], side);
    } else {
      // (KX/X₀)·y − c·K = Σ c_j·K_j with y = X₀/X, and the same for S.
      const kappa = reading.absorptionPower / X;
      const sigma = reading.scatteringPower / X;
      const scaleK = 1 / (reading.error * (kappa + 1e-2 / X));
      const scaleS = 1 / (reading.error * (sigma + 1e-2 / X));
      addWithThickness(i * 2, f, -c * scaleK, kappa * scaleK, othersK * scaleK);
      addWithThickness(i * 2 + 1, f, -c * scaleS, sigma * scaleS, othersS * scaleS);
    }
  }
  const local = new Float64Array(n * 2);
  const shared = new Float64Array(films);
  if (factorArrow(system)) solveFactored(system, local, shared);
  else {
    local.fill(Number.NaN);
    shared.fill(1);
  }
  return {
    absorption: Float64Array.from({ length: n }, (_, i) => local[i * 2]),
    scattering: Float64Array.from({ length: n }, (_, i) => local[i * 2 + 1]),
    perThickness: shared,
  };

  function addLocal(i: number, a: number, b: number, side: number): void {
    band[i * 2 * 2] += a * a;
    band[(i * 2 + 1) * 2] += b * b;
    band[(i * 2 + 1) * 2 + 1] += a * b;
    localSide[i * 2] += a * side;
    localSide[i * 2 + 1] += b * side;
  }
  function addWithThickness(k: number, f: number, a: number, b: number, side: number): void {
    band[k * 2] += a * a;
    border[k * films + f] += a * b;
    corner[f * films + f] += b * b;
    localSide[k] += a * side;
    sharedSide[f] += b * side;
  }
}

const parts = createFilmParts();
const slopes = createFilmSlopes();

/** Sum of squared standardised residuals at one wavelength for a trial K, S of the paste; a single one counts at most 1e4. */
function misfit(compiled: Compiled, estimate: Estimate, i: number, K: number, S: number): number {
  const { films, components, grounds, readings, firstReading, groundOf, fractions, known, k1, k2 } = compiled;
  let sum = 0;
  for (let f = 0; f < films; f++) {
    if (compiled.used[f] === 0) continue;
    let filmK = fractions[f * components] * K;
    let filmS = fractions[f * components] * S;
    for (let j = 1; j < components; j++) {
      filmK += fractions[f * components + j] * known[(i * components + j) * 2];
      filmS += fractions[f * components + j] * known[(i * components + j) * 2 + 1];
    }
    const s = compiled.sharedOfFilm[f];
    const X = s < 0 ? 1e6 / (filmK + filmS + 1e-12) : Math.exp(estimate.shared[s]);
    filmPartsInto(filmK, filmS, X, parts);
    for (let r = firstReading[f]; r < firstReading[f + 1]; r++) {
      const g = groundOf[r];
      const value = compiled.groundValues[i * grounds + g];
      const Rg = compiled.groundInternal[g] === 1 ? value : internalOf(value, k1, k2);
      filmSlopesInto(parts, 0, Rg, slopes);
      const R = slopes.R;
      const predicted = k1 + ((1 - k1) * (1 - k2) * R) / (1 - k2 * R);
      const residual =
        (predicted - compiled.values[i * readings + r]) * compiled.inverseSigma[i * readings + r];
      sum += Math.min(residual * residual, 1e4);
    }
  }
  return sum;
}

function readingsAt({ readings, inverseSigma }: Compiled, i: number): number {
  let count = 0;
  for (let r = 0; r < readings; r++) if (inverseSigma[i * readings + r] > 0) count++;
  return Math.max(count, 1);
}
