import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { type PasteParameters, pasteModel, type SpectralFeature } from "../../src/optics/pasteModel.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { lanternRoom, spectralTerms } from "../../src/tables/lanternRoom.ts";
import okumura from "../reference/pigment_ks_okumura2005.csv?raw";

/** K and S of a pigment's dry film, 1/µm, on the working grid. */
export interface SeededPaste {
  name: string;
  seed: number;
  absorption: Float64Array;
  scattering: Float64Array;
}

const measured = parseCsvTable(okumura, "pigment_ks_okumura2005.csv");
const paints = measured.columns
  .filter((column) => column.endsWith(" K"))
  .map((column) => column.slice(0, -2))
  .filter((name) => name !== "Titanium White");

/** S of a titanium white film, 1/µm: turns the relative unit of the measured set (white S = 1) into one. Common practice: 0.1 to 0.3. */
const whiteScattering = 0.12;

/**
 * A pigment from a seed: odd seeds vary one of the demo's parametric pastes (amounts by ±20 %, places by ±8 nm), even
 * seeds take a paint of the measured open set with its strength varied by ±20 %.
 */
export function seededPaste(seed: number): SeededPaste {
  const random = seededRandom(seed * 7919);
  return seed % 2 === 1 ? modelled(seed, random) : measuredPaint(seed, random);
}

function modelled(seed: number, random: () => number): SeededPaste {
  const pastes = lanternRoom.pastes.filter(({ id }) => id !== "pw6");
  const { id, name } = pastes[((seed - 1) / 2) % pastes.length];
  const amount = (value: number) => value * Math.exp(0.2 * normal(random));
  const feature = ({ amount: a, wavelength, width }: SpectralFeature): SpectralFeature => ({
    amount: amount(a),
    wavelength: wavelength + 8 * normal(random),
    width,
  });
  const terms = spectralTerms(id);
  const varied: PasteParameters = {
    ...terms,
    floor: { ...terms.floor, amount: amount(terms.floor.amount) },
    edges: terms.edges.map(feature),
    bands: terms.bands.map(feature),
    scattering: { ...terms.scattering, amount: amount(terms.scattering.amount) },
  };
  return { name: `${name}, varied`, seed, ...pasteModel(varied) };
}

function measuredPaint(seed: number, random: () => number): SeededPaste {
  const name = paints[(seed / 2 - 1) % paints.length];
  const scale = whiteScattering * Math.exp(0.2 * normal(random));
  const wavelengths = numberColumn(measured, "wavelength_nm");
  const curve = (column: string) =>
    numberColumn(measured, column)
      .filter((_, i) => wavelengths[i] >= 380 && wavelengths[i] <= 730)
      .map((value) => value * scale);
  return { name, seed, absorption: curve(`${name} K`), scattering: curve(`${name} S`) };
}
