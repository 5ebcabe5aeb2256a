import { usualDropsPerMl } from "../../../src/coating/drops.ts";
import { InputError } from "../../../src/graph/outcome.ts";
import type { ParameterValues } from "../../../src/graph/parameters.ts";
import type { BatchSettings } from "../../../src/job/batch.ts";
import { applicationMethods, type MethodId } from "../../../src/job/layerQuantity.ts";
import { type PouringUnit, pouringUnits } from "../../../src/job/pouring.ts";
import { readSizes } from "../../../src/units/units.ts";

const methods = applicationMethods.map(({ id, label }) => ({ value: id, label }));

const transferField = (id: MethodId) => {
  const { label, transferEfficiency, source } = applicationMethods.find((method) => method.id === id)!;
  return {
    type: "number",
    label: `Reaches the part, ${label}`,
    unit: "%",
    help: `Transfer efficiency: ${source}.`,
    min: 1,
    max: 100,
    step: 1,
    initial: Math.round(100 * transferEfficiency),
  } as const;
};

const coatsField = (label: string, max: number, initial: number) =>
  ({ type: "number", label, whole: true, min: 0, max, step: 1, initial }) as const;
const wetField = (label: string, initial: number) =>
  ({ type: "number", label, unit: "µm", min: 1, max: 150, step: 1, initial }) as const;
const solidsField = (label: string, initial: number) =>
  ({
    type: "number",
    label,
    unit: "%",
    help: "Share of the volume that stays in the dry film, from the data sheet.",
    min: 1,
    max: 100,
    step: 1,
    initial,
  }) as const;
const thinnerField = (label: string) =>
  ({
    type: "number",
    label,
    unit: "%",
    help: "Volume of thinner per volume of mix. The dry film stays as planned: spray that much wetter.",
    min: 0,
    max: 100,
    step: 1,
    initial: 0,
  }) as const;
const methodField = (label: string, initial: MethodId = "hvlp") =>
  ({ type: "choice", label, options: methods, initial }) as const;

/** Everything that is chosen about a batch, as shown and kept. */
export const parameters = {
  units: {
    type: "choice",
    label: "Units",
    options: [
      { value: "metric", label: "metric (mL, g, m², µm)" },
      { value: "us", label: "US customary (fl oz, oz, ft², mil)" },
    ],
    initial: "metric",
  },
  use: {
    type: "choice",
    label: "Where the parts are used",
    help: "Decides which cautions are shown.",
    options: [
      { value: "furniture", label: "furniture and fittings" },
      { value: "vehicle", label: "inside a vehicle" },
      { value: "children", label: "children's furniture or toys" },
    ],
    initial: "furniture",
  },
  crossLinker: {
    type: "choice",
    label: "Cross-linker",
    help: "The label and the safety data sheet say what is in it.",
    options: [
      { value: "none", label: "none" },
      { value: "isocyanate", label: "with diisocyanate" },
      { value: "other", label: "of another kind" },
    ],
    initial: "none",
  },
  carrier: {
    type: "choice",
    label: "Products",
    options: [
      { value: "water", label: "all water-borne" },
      { value: "solvent", label: "some solvent-borne" },
    ],
    initial: "water",
  },
  cleanerPasses: coatsField("Clean so many times", 6, 2),
  cleanerVolume: {
    type: "number",
    label: "Cleaner each time",
    unit: "mL/m²",
    min: 0,
    max: 500,
    step: 5,
    initial: 40,
  },
  adhesionCoats: coatsField("Adhesion coats", 4, 1),
  adhesionWet: wetField("Wet thickness of an adhesion coat", 12),
  adhesionSolids: solidsField("Volume solids of the adhesion coat", 15),
  adhesionThinner: thinnerField("Thinner in the adhesion coat"),
  adhesionMethod: methodField("Adhesion coat with"),
  basecoatThinner: thinnerField("Thinner in the basecoat"),
  basecoatMethod: methodField("Basecoat with"),
  colourThinner: thinnerField("Thinner in the colour"),
  colourMethod: methodField("Colour with"),
  clearCoats: coatsField("Clear coats", 6, 2),
  clearWet: wetField("Wet thickness of a clear coat", 15),
  clearSolids: solidsField("Volume solids of the clear coat", 25),
  clearThinner: thinnerField("Thinner in the clear coat"),
  clearMethod: methodField("Clear coat with"),
  hvlpTransfer: transferField("hvlp"),
  gunTransfer: transferField("gun"),
  airbrushTransfer: transferField("airbrush"),
  spongeTransfer: transferField("sponge"),
  cupAndHose: {
    type: "number",
    label: "Stays in cup and hose",
    unit: "mL",
    help: "Of each layer.",
    min: 0,
    max: 2000,
    step: 5,
    initial: 40,
  },
  testPanels: {
    type: "number",
    label: "Test panels",
    help: "Coated together with the parts.",
    whole: true,
    min: 0,
    max: 40,
    step: 1,
    initial: 2,
  },
  panelArea: {
    type: "number",
    label: "Area of a test panel",
    unit: "m²",
    min: 0.001,
    max: 2,
    step: 0.01,
    digits: 3,
    initial: 0.03,
  },
  reserve: {
    type: "number",
    label: "Kept for touching up",
    unit: "%",
    help: "Of everything else that is needed.",
    min: 0,
    max: 200,
    step: 1,
    initial: 10,
  },
  roundTo: {
    type: "number",
    label: "Round each mix up to whole",
    unit: "mL",
    help: "0 leaves it as computed.",
    min: 0,
    max: 5000,
    step: 5,
    initial: 10,
  },
  containers: {
    type: "text",
    label: "Sizes of cups and cans",
    help: "With commas between them: mL, L, fl oz, qt or gal. A bare number is mL.",
    initial: "250 mL, 500 mL, 1 L, 2.5 L",
    maxLength: 200,
  },
  dispensing: {
    type: "choice",
    label: "Recipe in",
    options: pouringUnits.map((unit) => ({
      value: unit,
      label: unit === "drops" ? "drops of paste, mL of binder" : unit,
    })),
    initial: "grams" as PouringUnit,
  },
  step: {
    type: "number",
    label: "Smallest step of balance or syringe",
    help: "In the unit of the recipe; a drop is a drop.",
    min: 0.001,
    max: 10,
    step: 0.01,
    digits: 3,
    initial: 0.1,
  },
  dropsPerMl: {
    type: "number",
    label: "Drops to the mL",
    help: "Count the drops of your own bottle: tip and liquid change them (USP 32 <1101>: 18 to 22 of water).",
    min: 5,
    max: 60,
    step: 1,
    initial: usualDropsPerMl,
  },
  waterShare: {
    type: "number",
    label: "Water in what evaporates",
    unit: "%",
    help: "By weight, from the data sheet. Water-borne mixes: 85 to 97 (common practice); solvent-borne: 0.",
    min: 0,
    max: 100,
    step: 1,
    initial: 92,
  },
  thinnerWaterShare: {
    type: "number",
    label: "Water in the thinner",
    unit: "%",
    help: "By weight. 100 for water.",
    min: 0,
    max: 100,
    step: 1,
    initial: 100,
  },
  solventDensity: {
    type: "number",
    label: "Density of the solvent",
    unit: "g/mL",
    help: "Of what evaporates beside water.",
    min: 0.6,
    max: 1.5,
    step: 0.01,
    initial: 0.95,
  },
} as const;

/** The cell's parameters in the form the computation takes. */
export function settingsFrom(p: ParameterValues<typeof parameters>): BatchSettings {
  const ready = (kind: "adhesion" | "clear") => ({
    coats: p[`${kind}Coats`],
    wetThickness: p[`${kind}Wet`],
    volumeSolids: p[`${kind}Solids`] / 100,
    thinner: p[`${kind}Thinner`] / 100,
    method: p[`${kind}Method`],
  });
  return {
    units: p.units,
    vehicle: p.use === "vehicle",
    children: p.use === "children",
    isocyanate: p.crossLinker === "isocyanate",
    solvent: p.carrier === "solvent",
    cleaner: { passes: p.cleanerPasses, volumePerArea: p.cleanerVolume },
    adhesion: ready("adhesion"),
    basecoat: { thinner: p.basecoatThinner / 100, method: p.basecoatMethod },
    colour: { thinner: p.colourThinner / 100, method: p.colourMethod },
    clear: ready("clear"),
    transfer: {
      hvlp: p.hvlpTransfer / 100,
      gun: p.gunTransfer / 100,
      airbrush: p.airbrushTransfer / 100,
      sponge: p.spongeTransfer / 100,
    },
    allowances: {
      cupAndHose: p.cupAndHose,
      panelArea: p.testPanels * p.panelArea,
      reserve: p.reserve / 100,
      roundTo: p.roundTo,
    },
    dispensing: { unit: p.dispensing, step: p.step, dropsPerMl: p.dropsPerMl },
    containers: sizesFrom(p.containers),
    volatile: {
      waterShare: p.waterShare / 100,
      thinnerWaterShare: p.thinnerWaterShare / 100,
      solventDensity: p.solventDensity,
    },
  };
}

function sizesFrom(text: string): number[] {
  try {
    return readSizes(text);
  } catch (error) {
    throw new InputError(`Sizes of cups and cans: ${(error as Error).message}`, {
      field: "containers",
      wayOut: "Write the sizes with commas between them, such as 250 mL, 500 mL, 1 L",
    });
  }
}
