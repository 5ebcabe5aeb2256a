import basePaintsCsv from "../../data/lantern-room/base-paints.csv?raw";
import partsCsv from "../../data/lantern-room/parts.csv?raw";
import partsReflectanceCsv from "../../data/lantern-room/parts-reflectance.csv?raw";
import pastesCsv from "../../data/lantern-room/pastes.csv?raw";
import spectralTermsCsv from "../../data/lantern-room/spectral-terms.csv?raw";
import targetCsv from "../../data/lantern-room/target-reference.csv?raw";
import wineCsv from "../../data/lantern-room/wine-cord-reference.csv?raw";
import { type Component, checkComponent } from "../coating/component.ts";
import {
  type PasteParameters,
  type PowerLaw,
  pasteModel,
  type SpectralFeature,
} from "../optics/pasteModel.ts";
import { type CsvRow, type CsvTable, numberColumn, parseCsvTable } from "./csvTable.ts";

/** A measured reflectance of the scenario: specular included, 0…1. */
interface LanternSpectrum {
  readonly id: string;
  readonly label: string;
  /** Where it comes from, for the reader. */
  readonly origin: string;
  /** nm */
  readonly wavelengths: Float64Array;
  readonly reflectance: Float64Array;
  readonly specular: "included";
}

/** A kind of part of the job. */
interface LanternPart {
  readonly id: string;
  readonly name: string;
  readonly description: string;
  readonly count: number;
  /** Area of one part, m². */
  readonly area: number;
  /** nm */
  readonly wavelengths: Float64Array;
  /** Measured, 0…1. */
  readonly reflectance: Float64Array;
  readonly specular: "included";
}

/** A ready recipe: wet mL of components of the rack, by id. */
export interface LanternRecipe {
  readonly title: string;
  readonly volumes: readonly { readonly id: string; readonly volume: number }[];
}

/** How the demo job is coated: colour coats as in a coat plan, basecoats all of one wet thickness, µm. */
interface LanternPlan {
  readonly lightCoats: number;
  readonly heavyCoats: number;
  readonly lightWet: number;
  readonly heavyWet: number;
  readonly basecoatCoats: number;
  readonly basecoatWet: number;
}

/** The invented demo job: nine faded poppy-red seats, four black bolsters and six grey plinth panels to be made one red. */
interface LanternRoom {
  readonly pastes: readonly Component[];
  readonly binder: Component;
  /** Cool light grey, warm cream, white. */
  readonly basePaints: readonly Component[];
  readonly parts: readonly LanternPart[];
  /** Poppy red: the unfaded underside of one seat pad. */
  readonly target: LanternSpectrum;
  /** A deeper, bluer red for later lessons. */
  readonly wineTarget: LanternSpectrum;
  readonly demoRecipe: LanternRecipe;
  /** Share of warm cream in its blend with cool light grey, by wet volume. */
  readonly demoRatio: number;
  readonly demoPlan: LanternPlan;
  readonly wineRecipe: LanternRecipe;
  readonly wineRatio: number;
  /** A well-hiding mid grey, to compare quantities and prices with. */
  readonly hidingRecipe: LanternRecipe;
  /** Coats of the well-hiding grey straight on the parts; the basecoat is left out. */
  readonly hidingPlan: LanternPlan;
}

const provenance = {
  kind: "invented",
  note: "for the Lantern Room scenario, by a documented model",
} as const;

const terms = parseCsvTable(spectralTermsCsv, "spectral-terms.csv");

/**
 * Parameters of the spectral model for an ingredient.
 * @throws RangeError for an unknown ingredient or term, or one that is missing or given twice
 */
export function spectralTerms(ingredient: string, table: CsvTable = terms): PasteParameters {
  const features = { edge: [], band: [], rise: [], step: [] } as Record<string, SpectralFeature[]>;
  const powers: Record<string, PowerLaw> = {};
  for (const row of table.rows) {
    if (row.text("ingredient") !== ingredient) continue;
    const term = row.text("term");
    if (term === "floor" || term === "scattering") {
      if (powers[term])
        throw new RangeError(`${place(table, row, "term")}: a second ${term} of ${ingredient}`);
      powers[term] = { amount: row.number("amount"), exponent: row.number("exponent") };
    } else if (Object.hasOwn(features, term)) {
      features[term].push({
        amount: row.number("amount"),
        wavelength: row.number("wavelength_nm"),
        width: row.number("width_ev"),
      });
    } else throw new RangeError(`${place(table, row, "term")}: "${term}" is unknown`);
  }
  const { floor, scattering } = powers;
  if (!floor || !scattering) {
    throw new RangeError(`${table.file}: ${ingredient} needs one row "floor" and one row "scattering"`);
  }
  return {
    floor,
    edges: features.edge,
    bands: features.band,
    scattering,
    rises: features.rise,
    steps: features.step,
  };
}

const place = (table: CsvTable, row: CsvRow, field: string) =>
  `${table.file}, row ${row.line}, field "${field}"`;

function componentsOf(csv: string, file: string): Component[] {
  const table = parseCsvTable(csv, file);
  return table.rows.map((row) => {
    const id = row.text("id");
    const role = row.text("role");
    if (role !== "paste" && role !== "binder" && role !== "base paint") {
      throw new RangeError(
        `${place(table, row, "role")}: "${role}" is unknown; known: paste, binder, base paint`,
      );
    }
    const component: Component = {
      id,
      name: row.text("name"),
      role,
      colourIndex: row.optionalText("colour_index") || undefined,
      density: row.number("density_g_per_ml"),
      volumeSolids: row.number("volume_solids"),
      ...pasteModel(spectralTerms(id)),
      costPerMl: row.number("cost_per_ml"),
      lightfastness: row.optionalText("lightfastness") || undefined,
      provenance,
    };
    checkComponent(component);
    return Object.freeze(component);
  });
}

function partsOf(): LanternPart[] {
  const curves = parseCsvTable(partsReflectanceCsv, "parts-reflectance.csv");
  const wavelengths = numberColumn(curves, "wavelength_nm");
  return parseCsvTable(partsCsv, "parts.csv").rows.map((row) =>
    Object.freeze({
      id: row.text("id"),
      name: row.text("name"),
      description: row.text("description"),
      count: row.number("count"),
      area: row.number("area_m2"),
      wavelengths,
      reflectance: numberColumn(curves, row.text("id")),
      specular: "included" as const,
    }),
  );
}

function spectrumOf(csv: string, file: string, id: string, label: string, origin: string): LanternSpectrum {
  const table = parseCsvTable(csv, file);
  return Object.freeze({
    id,
    label,
    origin,
    wavelengths: numberColumn(table, "wavelength_nm"),
    reflectance: numberColumn(table, "reflectance"),
    specular: "included" as const,
  });
}

function theOnly(found: Component[]): Component {
  if (found.length !== 1)
    throw new RangeError(`pastes.csv: ${found.length} rows with the role "binder", not one`);
  return found[0];
}

const rack = componentsOf(pastesCsv, "pastes.csv");

/** The demo job. Everything in it is invented. */
export const lanternRoom: LanternRoom = Object.freeze({
  pastes: Object.freeze(rack.filter((component) => component.role === "paste")),
  binder: theOnly(rack.filter((component) => component.role === "binder")),
  basePaints: Object.freeze(componentsOf(basePaintsCsv, "base-paints.csv")),
  parts: Object.freeze(partsOf()),
  target: spectrumOf(
    targetCsv,
    "target-reference.csv",
    "poppy",
    "Poppy red, unfaded",
    "invented: underside of one seat pad, specular included",
  ),
  wineTarget: spectrumOf(
    wineCsv,
    "wine-cord-reference.csv",
    "wine-cord",
    "Wine cord",
    "invented: vinyl piping of the box seats, specular included",
  ),
  // How this recipe and ratio were found: for every set of three pastes of the rack, least squares over the three
  // volumes in 100 mL (25 mL together at most) and the ratio of cream to grey. Residuals: 36 differences of the cube
  // roots of reflectance (specular excluded, times 8) and the three differences of L*a*b* (D65, 10°, times ½), over a
  // black part with the coats of `demoPlan`. Of all sets the one with the least sum that does without PR 188, which
  // fades, for the seats stand by a south window; then rounded to amounts that can be poured.
  demoRecipe: recipe("Poppy red", { pr254: 16.5, po73: 3.7, pw6: 0.3, binder: 79.5 }),
  demoRatio: 0.55,
  demoPlan: Object.freeze({
    lightCoats: 2,
    heavyCoats: 2,
    lightWet: 15,
    heavyWet: 30,
    basecoatCoats: 2,
    basecoatWet: 25,
  }),
  // Found in the same way; the set with the least sum.
  wineRecipe: recipe("Wine cord", { pr179: 12.5, pv23: 0.33, py42: 0.8, binder: 86.37 }),
  wineRatio: 0.25,
  // Chosen by hand for a mid grey.
  hidingRecipe: recipe("Stage-dust grey", { pw6: 12, py42: 4, pbk7: 1.8, binder: 82.2 }),
  hidingPlan: Object.freeze({
    lightCoats: 2,
    heavyCoats: 1,
    lightWet: 15,
    heavyWet: 30,
    basecoatCoats: 0,
    basecoatWet: 25,
  }),
});

function recipe(title: string, volumes: Record<string, number>): LanternRecipe {
  return Object.freeze({
    title,
    volumes: Object.freeze(Object.entries(volumes).map(([id, volume]) => Object.freeze({ id, volume }))),
  });
}

/** Sets of components to start a shelf from; each call gives a new list. */
export const componentSets: Record<string, () => Component[]> = Object.freeze({
  "Lantern Room rack": () => [...lanternRoom.pastes, lanternRoom.binder],
  "Lantern Room base paints": () => [...lanternRoom.basePaints],
});
