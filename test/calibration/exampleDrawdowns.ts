import { companionOf, compose } from "../../src/calibration/compose.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { type PasteParameters, pasteModel } from "../../src/optics/pasteModel.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { binder, surface, white } from "./benchDesign.ts";
import { type PlannedDrawdown, simulateDrawdowns } from "./simulateDrawdowns.ts";

// The invented drawdowns of data/examples: made by the film model itself, so that the truth is known.

/** A rose paste that is not on the demo's shelf. Invented. */
export const rose: PasteParameters = {
  floor: { amount: 0.0004, exponent: 0 },
  edges: [{ amount: 0.03, wavelength: 405, width: 0.12 }],
  bands: [
    { amount: 0.42, wavelength: 528, width: 0.15 },
    { amount: 0.3, wavelength: 566, width: 0.055 },
  ],
  scattering: { amount: 0.012, exponent: 1.4 },
  rises: [{ amount: 2.2, wavelength: 597, width: 0.13 }],
  steps: [],
};

export const roseLabel = { name: "Rose sample", density: 1.09, volumeSolids: 0.29 };
export const roseTruth = pasteModel(rose);

const nm = wavelengths(workingGrid);

/** A drawdown card: black that rises a little, white that falls below 430 nm. Invented. */
const card = [
  { name: "black", reflectance: nm.map((w) => 0.045 + 0.002 * ((w - 380) / 350)) },
  { name: "white", reflectance: nm.map((w) => 0.83 - 0.22 * Math.exp(-(w - 380) / 22)) },
];

interface Film {
  label: string;
  /** wet mL of paste, white, binder */
  amounts: [number, number, number];
  thickness: number;
  told: PlannedDrawdown["told"];
}

const films: Film[] = [
  { label: "masstone thin", amounts: [40, 0, 60], thickness: 11, told: "known" },
  { label: "masstone thick", amounts: [40, 0, 60], thickness: 27, told: "known" },
  { label: "let-down 1:20 thin", amounts: [1, 20, 79], thickness: 10, told: "known" },
  { label: "let-down 1:20 thick", amounts: [1, 20, 79], thickness: 24, told: "unknown" },
  { label: "let-down 1:6 thin", amounts: [3, 18, 79], thickness: 12, told: "known" },
  { label: "let-down 1:6 thick", amounts: [3, 18, 79], thickness: 26, told: "known" },
  { label: "let-down 1:2 thin", amounts: [7, 14, 79], thickness: 11, told: "known" },
  { label: "let-down 1:2 thick", amounts: [7, 14, 79], thickness: 25, told: "known" },
];

const made =
  "# Invented example (no measured or commercial data), made by test/calibration/exampleDrawdowns.ts:";
const paste = [
  `# paste: ${roseLabel.name}`,
  `# paste density: ${roseLabel.density}`,
  `# paste volume solids: ${roseLabel.volumeSolids}`,
  "# colour index: PR 122",
];

const number = (value: number, digits: number): string => value.toFixed(digits);

function simulate(list: readonly Film[], grounds: readonly number[], noise: number, seed: number) {
  const drawdowns = list.map(
    ({ label, amounts, thickness, told }): PlannedDrawdown => ({
      label,
      fractions: compose(roseLabel, [white, binder], amounts, "volume").fractions,
      trueThickness: thickness,
      told,
      specular: "included",
      grounds,
    }),
  );
  return simulateDrawdowns({
    ...roseTruth,
    companions: [companionOf(white), companionOf(binder)],
    grounds: card,
    drawdowns,
    surface,
    noise,
    groundRepeats: 1,
    thicknessError: 0.05,
    seed,
  });
}

/** Masstone and three let-downs at two thicknesses over a black and white card; `told` false hides all thicknesses. */
function bench(list: readonly Film[], about: readonly string[], seed: number): string {
  const { drawdowns, grounds } = simulate(list, [0, 1], 0.002, seed);
  const lines = [made, ...about, ...paste];
  lines.push(
    `label,ground,specular,basis,amount of paste,amount of pw6,amount of binder,dry_um,${nm.join()}`,
  );
  for (const { name, reflectance } of grounds) {
    lines.push(`bare,${name},included,,,,,,${Array.from(reflectance, (R) => number(R, 4)).join()}`);
  }
  drawdowns.forEach(({ label, thickness, readings }, f) => {
    for (const { ground, reflectance } of readings) {
      const told = thickness.kind === "known" ? number(thickness.value, 1) : "";
      const amounts = list[f].amounts.join();
      const values = Array.from(reflectance, (R) => number(R, 4)).join();
      lines.push(`${label},${grounds[ground].name},included,volume,${amounts},${told},${values}`);
    }
  });
  return `${lines.join("\n")}\n`;
}

/** data/examples/drawdowns-rose.csv */
export const roseFile = (): string =>
  bench(
    films,
    [
      "# readings with 0.2 % noise (1 sigma, in reflectance), dry thicknesses with 5 %; one thickness was not measured.",
      "# Layout: src/tables/drawdownFile.ts; pw6 and binder are components of the demo's rack. Free to use.",
    ],
    41,
  );

/** data/examples/drawdowns-rose-unmeasured.csv: no white, no thickness: cannot be solved, and says why. */
export const unmeasuredFile = (): string =>
  bench(
    [
      { label: "weak thin", amounts: [15, 0, 85], thickness: 10, told: "unknown" },
      { label: "weak thick", amounts: [15, 0, 85], thickness: 26, told: "unknown" },
      { label: "masstone thin", amounts: [40, 0, 60], thickness: 11, told: "unknown" },
      { label: "masstone thick", amounts: [40, 0, 60], thickness: 27, told: "unknown" },
    ],
    [
      "# the paste in clear binder only, and no thickness measured: thickness and strength cannot be told apart.",
      "# Layout: src/tables/drawdownFile.ts; pw6 and binder are components of the demo's rack. Free to use.",
    ],
    42,
  );

/** Laid amounts of the ladder; 1 lays 8 µm dry. */
const steps = [0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4];

/** data/examples/drawdowns-ladder.csv: one composition in rising amounts over a single backing. */
export function ladderFile(): string {
  const list = steps.map(
    (amount): Film => ({ label: `${amount}`, amounts: [25, 4, 71], thickness: 8 * amount, told: "known" }),
  );
  const { drawdowns, grounds } = simulate(list, [1], 0.003, 43);
  const lines = [
    made,
    "# a thickness ladder of one ready mix over white: readings with 0.3 % noise, amounts with 5 % (1 sigma).",
    "# Layout: src/tables/drawdownFile.ts; amounts are proportional to thickness, amount 0 is the bare backing. Free to use.",
    "# paste: Rose mix",
    `amount,specular,${nm.join()}`,
    `0,included,${Array.from(grounds[1].reflectance, (R) => number(R, 4)).join()}`,
  ];
  drawdowns.forEach(({ thickness, readings }) => {
    if (thickness.kind !== "known") return;
    const values = Array.from(readings[0].reflectance, (R) => number(R, 4)).join();
    lines.push(`${number(thickness.value / 8, 3)},included,${values}`);
  });
  return `${lines.join("\n")}\n`;
}

/** data/examples/drawdowns-rose-colours.csv: the same films, read with a sensor that gives colours only. */
export function coloursFile(): string {
  const { drawdowns, grounds } = simulate(films, [0, 1], 0, 41);
  const weights = weightsFor("1964-10", "D65");
  const random = seededRandom(44);
  const Lab = (reflectance: Float64Array): string =>
    Array.from(reflectanceToLab(reflectance, weights, new Float64Array(3)), (value) =>
      number(value + 0.3 * normal(random), 2),
    ).join();
  const lines = [
    made,
    "# the films of drawdowns-rose.csv as a sensor reads them: L*, a*, b* under D65 for the 10° observer, with 0.3 noise (1 sigma).",
    "# Layout: src/tables/drawdownFile.ts; pw6 and binder are components of the demo's rack. Free to use.",
    ...paste,
    "label,ground,specular,basis,amount of paste,amount of pw6,amount of binder,dry_um,L*,a*,b*",
  ];
  for (const { name, reflectance } of grounds) lines.push(`bare,${name},included,,,,,,${Lab(reflectance)}`);
  drawdowns.forEach(({ label, thickness, readings }, f) => {
    for (const { ground, reflectance } of readings) {
      const told = thickness.kind === "known" ? number(thickness.value, 1) : "";
      lines.push(
        `${label},${grounds[ground].name},included,volume,${films[f].amounts.join()},${told},${Lab(reflectance)}`,
      );
    }
  });
  return `${lines.join("\n")}\n`;
}
