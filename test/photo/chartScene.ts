import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { resampleToGrid } from "../../src/colour/resample.ts";
import type { TristimulusWeights } from "../../src/colour/weights.ts";
import type { Circle } from "../../src/photo/circleSample.ts";
import type { Picture } from "../../src/photo/pictureSpace.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import chartCsv from "../reference/colorchecker24_reflectance_babelcolor_average.csv?raw";
import munsellCsv from "../reference/munsell_nickerson_reflectance.csv?raw";
import { type Camera, cameraValues, photograph, type Scene, type Square } from "./cameraModel.ts";

function spectraOf(csv: string, file: string): { label: string; reflectance: Float64Array }[] {
  const table = parseCsvTable(csv, file);
  const nm = numberColumn(table, "wavelength_nm");
  return table.columns
    .filter((column) => column !== "wavelength_nm")
    .map((label) => ({ label, reflectance: resampleToGrid(nm, numberColumn(table, label)).values }));
}

/** The 24 chart patches, measured. */
export const chart = spectraOf(chartCsv, "colorchecker24_reflectance_babelcolor_average.csv");
/** Measured paint chips that the makers' matrices of the test cameras are made from. */
export const munsell = spectraOf(munsellCsv, "munsell_nickerson_reflectance.csv");

/** Three cameras that differ in where and how widely their channels look. */
export const cameras: readonly Camera[] = [
  { peaks: [600, 540, 460], widths: [34, 38, 28], balance: 0.9, shot: 2e-4, read: 0.002 },
  { peaks: [610, 530, 450], widths: [40, 45, 30], balance: 0.9, shot: 2e-4, read: 0.002 },
  { peaks: [595, 545, 470], widths: [30, 34, 34], balance: 0.9, shot: 2e-4, read: 0.002 },
];

const width = 360;
const height = 190;
const size = 36;
const grey = new Float64Array(36).fill(0.18);

export interface ChartPhoto {
  readonly picture: Picture;
  readonly patches: readonly { label: string; circle: Circle; Lab: Float64Array }[];
  /** Six places of one 18 % grey card around the chart. */
  readonly cards: readonly Circle[];
  readonly cardLab: Float64Array;
}

/** A photograph of the 24 patches between two columns of grey card; brightest at the right, darker in the corners. */
export function photographChart(
  camera: Camera,
  light: string,
  weights: TristimulusWeights,
  seed: number,
  bend: (linear: number) => number = (linear) => linear,
): ChartPhoto {
  const spectra = [...chart.map((patch) => patch.reflectance), grey];
  const values = cameraValues(
    camera,
    light,
    spectra,
    munsell.map((chip) => chip.reflectance),
  );
  const squares: Square[] = chart.map((_, k) => ({
    x: 60 + (k % 6) * 40,
    y: 20 + Math.floor(k / 6) * 40,
    size,
    linear: values[k],
  }));
  for (const x of [10, 310]) {
    for (const y of [10, 77, 144]) squares.push({ x, y, size, linear: values[24] });
  }
  const scene: Scene = {
    exposure: 0.75,
    lightAt: (x, y) => (1 + 0.12 * x - 0.08 * y) / (1 + 0.06 * (x * x + y * y)) ** 2,
    bend,
    seed,
  };
  const circles = squares.map(({ x, y }) => ({ x: x + size / 2, y: y + size / 2, radius: 14 }));
  return {
    picture: photograph(squares, width, height, camera, scene),
    patches: chart.map(({ label, reflectance }, k) => ({
      label,
      circle: circles[k],
      Lab: reflectanceToLab(reflectance, weights, new Float64Array(3)),
    })),
    cards: circles.slice(24),
    cardLab: reflectanceToLab(grey, weights, new Float64Array(3)),
  };
}
