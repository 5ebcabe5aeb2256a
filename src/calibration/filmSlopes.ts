// Reflectance of a film with its derivatives, in the form with T = tanh(BX)/B, B = √(K(K+2S)) (Kubelka 1948):
// R = (Rg + (S − Rg(K+S))T) / (1 + (K+S − Rg·S)T). T and its derivatives belong to the film alone, so a film
// measured over two grounds needs them once.

/** What one film contributes at one wavelength, whatever lies under it. */
interface FilmParts {
  K: number;
  S: number;
  /** tanh(BX)/B, µm */
  T: number;
  /** ∂T/∂K and ∂T/∂S at fixed X; ∂T/∂X at fixed K, S */
  TK: number;
  TS: number;
  TX: number;
}

/** Reflectance over one ground with its derivatives; thickness enters as ln X. */
interface FilmSlopes {
  R: number;
  dK: number;
  dS: number;
  dLogX: number;
  dRg: number;
}

/** An empty `FilmParts` to be filled again and again. */
export function createFilmParts(): FilmParts {
  return { K: 0, S: 0, T: 0, TK: 0, TS: 0, TX: 0 };
}

/** An empty `FilmSlopes` to be filled again and again. */
export function createFilmSlopes(): FilmSlopes {
  return { R: 0, dK: 0, dS: 0, dLogX: 0, dRg: 0 };
}

/**
 * Fills `out` for one film at one wavelength. For hot loops: no checks, no allocation.
 *
 * @param K absorption, 1/µm, ≥ 0   @param S scattering, 1/µm, ≥ 0   @param X dry thickness, µm, ≥ 0; may be huge
 */
export function filmPartsInto(K: number, S: number, X: number, out: FilmParts): void {
  const a = K + S;
  const squareOfB = K * (a + S);
  const B = Math.sqrt(squareOfB);
  const x = B * X;
  let T: number;
  let slope: number; // ∂T/∂(B²)·2 = (X·sech²(x) − T)/B²
  let sechSquared: number;
  if (x < 0.1) {
    // Taylor series of tanh(x)/x and of (sech²x − tanh(x)/x)/x²; the first terms left out are below 1e-12 of the sum.
    const y = x * x;
    T = X * (1 - y * (1 / 3 - y * (2 / 15 - y * (17 / 315 - y * (62 / 2835 - (y * 1382) / 155925)))));
    slope = X * X * X * (-2 / 3 + y * (8 / 15 - y * (34 / 105 - y * (496 / 2835 - (y * 13820) / 155925))));
    sechSquared = 1 - squareOfB * T * T;
  } else {
    const e = Math.exp(-2 * x);
    const tanh = (1 - e) / (1 + e);
    T = tanh / B;
    sechSquared = (4 * e) / ((1 + e) * (1 + e));
    slope = e === 0 ? -T / squareOfB : (X * sechSquared - T) / squareOfB;
  }
  out.K = K;
  out.S = S;
  out.T = T;
  out.TK = slope * a;
  out.TS = slope * K;
  out.TX = sechSquared;
}

/**
 * Fills `out` with the internal reflectance of the film over a ground and its derivatives.
 *
 * @param logXScale X itself, µm: turns ∂/∂X into ∂/∂ln X; 0 for a film taken as infinitely thick
 * @param Rg internal reflectance of the ground, 0…1
 */
export function filmSlopesInto(parts: FilmParts, logXScale: number, Rg: number, out: FilmSlopes): void {
  const { K, S, T } = parts;
  const a = K + S;
  const upper = S - Rg * a;
  const lower = a - Rg * S;
  const D = 1 / (1 + lower * T);
  const R = (Rg + upper * T) * D;
  const RT = (upper - R * lower) * D;
  out.R = R;
  out.dK = RT * parts.TK - T * (R + Rg) * D;
  out.dS = RT * parts.TS + T * (1 - Rg) * (1 - R) * D;
  out.dLogX = RT * parts.TX * logXScale;
  out.dRg = (1 - a * T + R * S * T) * D;
}
