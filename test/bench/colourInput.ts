import { deltaE2000 } from "../../src/colour/difference.ts";
import { LabToXYZ, reflectanceToLab } from "../../src/colour/Lab.ts";
import { resampleToGrid } from "../../src/colour/resample.ts";
import type { TristimulusWeights } from "../../src/colour/weights.ts";
import { smoothestCurve } from "../../src/curves/smoothestCurve.ts";
import { solveInPlace } from "../../src/fit/denseAlgebra.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import munsellCsv from "../reference/munsell_nickerson_reflectance.csv?raw";
import { line } from "./measure.ts";

/** The shortest curve with a Lab (least sum of squares), clipped to 0…1: what a plain pseudo-inverse gives. */
function plainCurve(Lab: Float64Array, weights: TristimulusWeights): Float64Array {
  const rows = [weights.x, weights.y, weights.z];
  const products = Float64Array.from(
    rows.flatMap((a) => rows.map((b) => a.reduce((s, v, i) => s + v * b[i], 0))),
  );
  const factors = LabToXYZ(Lab, weights.white, new Float64Array(3));
  solveInPlace(products, factors);
  return weights.x.map((_, i) => {
    const value = rows.reduce((sum, row, c) => sum + factors[c] * row[i], 0);
    return Math.min(Math.max(value, 0), 1);
  });
}

/** Curves made from the Lab of measured Munsell chips: how far they are off in another light. */
export async function benchColourInput(): Promise<void> {
  const table = parseCsvTable(munsellCsv, "munsell_nickerson_reflectance.csv");
  const nm = numberColumn(table, "wavelength_nm");
  const chips = table.columns
    .filter((column) => column !== "wavelength_nm")
    .map((column) => resampleToGrid(nm, numberColumn(table, column)).values);
  const daylight = weightsFor("1964-10", "D65");
  const LabOf = (R: Float64Array, weights: TristimulusWeights): Float64Array =>
    reflectanceToLab(R, weights, new Float64Array(3));
  for (const light of ["A", "FL11"]) {
    const other = weightsFor("1964-10", light);
    const medianOf = (curveOf: (Lab: Float64Array) => Float64Array): number => {
      const differences = chips.map((R) =>
        deltaE2000(LabOf(R, other), LabOf(curveOf(LabOf(R, daylight)), other)),
      );
      return differences.sort((a, b) => a - b)[(chips.length - 1) / 2];
    };
    const smoothest = medianOf((Lab) => smoothestCurve(Lab, daylight).reflectance);
    const shortest = medianOf((Lab) => plainCurve(Lab, daylight));
    line(`median ΔE00 under ${light}, 231 Munsell chips from D65 Lab`, smoothest, shortest, "ΔE00");
  }
}
