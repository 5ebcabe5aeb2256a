import { aboveZero, atLeastZero, finite } from "../colour/checks.ts";
import { wavelengths, workingGrid } from "../colour/grid.ts";

/** One feature of a spectrum: size, place and width. */
export interface SpectralFeature {
  /** Height: 1/µm for a feature of absorption; relative (0 = none) for one of scattering. */
  readonly amount: number;
  /** Centre, nm. */
  readonly wavelength: number;
  /** Width w, eV. */
  readonly width: number;
}

/** What a power law needs: value at 560 nm and exponent p of (λ/560 nm)^-p. */
export interface PowerLaw {
  readonly amount: number;
  readonly exponent: number;
}

/** A coloured dry film described by a few numbers. */
export interface PasteParameters {
  /** Absorption without structure, 1/µm at 560 nm: carbon and iron oxides, or the last trace in a clear one. */
  readonly floor: PowerLaw;
  /** Absorption of all light more energetic than a threshold. */
  readonly edges: readonly SpectralFeature[];
  /** Absorption around one energy. */
  readonly bands: readonly SpectralFeature[];
  /** Scattering, 1/µm at 560 nm: a small exponent for coarse white, 1 and more for fine organic pigments. */
  readonly scattering: PowerLaw;
  /** Scattering raised around one energy, beside a strong absorption, where the refractive index peaks. */
  readonly rises: readonly SpectralFeature[];
  /** Scattering raised on the long-wave side of an edge. */
  readonly steps: readonly SpectralFeature[];
}

/** Photon energy in eV times wavelength in nm: Planck's constant times the speed of light (SI 2019, exact constants). */
const energyTimesWavelength = 1239.841984;

/** Where the power laws take their value, nm. */
const middle = 560;

/**
 * K and S of a coloured film from a few numbers, for invented pigments: a model of shapes, not of any real product.
 *
 *   K(λ) = K₀·(λ/560)^-p + Σ A/(1 + exp((E₀−E)/w)) + Σ A·exp(−½((E−E₀)/w)²)
 *   S(λ) = S₀·(λ/560)^-n · Π(1 + h·exp(−½((E−E₀)/w)²)) · Π(1 + h/(1 + exp((E−E₀)/w)))
 *
 * with photon energy E = 1239.84 eV·nm / λ: electronic transitions have their natural width in energy. An edge is
 * the onset of a band of transitions smeared by disorder, with an exponential tail towards lower energy (Urbach
 * 1953, from memory); a band is a single transition broadened by vibration, near Gaussian in energy (common
 * practice). Scattering falls with wavelength, the faster the finer the particle, between λ⁰ and λ⁻⁴ (Rayleigh);
 * it rises where the refractive index does, on the long-wave flank of strong absorption (anomalous dispersion).
 * The sums are a description, not a theory: K and S are not tied to each other by dispersion relations.
 *
 * @returns absorption K and scattering S, 1/µm of dry film, on the working grid
 * @throws RangeError for a negative amount of absorption or scattering, a width or wavelength not above 0, a number
 * not finite, or a relative change of scattering below −1
 */
export function pasteModel(parameters: PasteParameters): {
  absorption: Float64Array;
  scattering: Float64Array;
} {
  checkParameters(parameters);
  const { floor, edges, bands, scattering, rises, steps } = parameters;
  const grid = wavelengths(workingGrid);
  const K = grid.map((wavelength) => {
    const E = photonEnergy(wavelength);
    let sum = powerLaw(floor, wavelength);
    for (const edge of edges) sum += edge.amount * above(E, edge);
    for (const band of bands) sum += band.amount * around(E, band);
    return sum;
  });
  const S = grid.map((wavelength) => {
    const E = photonEnergy(wavelength);
    let product = powerLaw(scattering, wavelength);
    for (const rise of rises) product *= 1 + rise.amount * around(E, rise);
    for (const step of steps) product *= 1 + step.amount * (1 - above(E, step));
    return product;
  });
  return { absorption: K, scattering: S };
}

const photonEnergy = (wavelength: number): number => energyTimesWavelength / wavelength;

const powerLaw = ({ amount, exponent }: PowerLaw, wavelength: number): number =>
  amount * (wavelength / middle) ** -exponent;

/** From 0 far below a feature's energy through ½ at it to 1 far above. */
const above = (E: number, { wavelength, width }: SpectralFeature): number =>
  1 / (1 + Math.exp((photonEnergy(wavelength) - E) / width));

/** 1 at a feature's energy, falling to 0 on both sides. */
const around = (E: number, { wavelength, width }: SpectralFeature): number =>
  Math.exp(-0.5 * ((E - photonEnergy(wavelength)) / width) ** 2);

function checkParameters({ floor, edges, bands, scattering, rises, steps }: PasteParameters): void {
  atLeastZero("floor of absorption", floor.amount, "1/µm");
  finite("exponent of absorption", floor.exponent);
  atLeastZero("scattering at 560 nm", scattering.amount, "1/µm");
  finite("exponent of scattering", scattering.exponent);
  for (const edge of edges) checkAbsorbing("edge", edge);
  for (const band of bands) checkAbsorbing("band", band);
  for (const rise of rises) checkRelative("rise", rise);
  for (const step of steps) checkRelative("step", step);
}

function checkAbsorbing(name: string, feature: SpectralFeature): void {
  atLeastZero(`${name} of absorption: amount`, feature.amount, "1/µm");
  checkPlace(`${name} of absorption`, feature);
}

function checkRelative(name: string, feature: SpectralFeature): void {
  finite(`${name} of scattering: amount`, feature.amount);
  if (feature.amount < -1) {
    throw new RangeError(
      `${name} of scattering: amount = ${feature.amount}: must be at least -1, or scattering turns negative`,
    );
  }
  checkPlace(`${name} of scattering`, feature);
}

function checkPlace(name: string, { wavelength, width }: SpectralFeature): void {
  aboveZero(`${name}: wavelength`, wavelength, "nm");
  aboveZero(`${name}: width`, width, "eV");
}
