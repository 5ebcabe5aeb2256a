import { describe, expect, test } from "vitest";
import { deltaE2000, deltaEab } from "../../src/colour/difference.ts";
import { spectralGrid } from "../../src/colour/grid.ts";
import { reflectanceToLab, XYZToLab } from "../../src/colour/Lab.ts";
import type { ObserverName } from "../../src/colour/observer.ts";
import { resampleToGrid } from "../../src/colour/resample.ts";
import { chromaticityToXYZ, reflectanceToXYZ } from "../../src/colour/XYZ.ts";
import { type CsvRow, parseCsvTable } from "../../src/tables/csvTable.ts";
import { tabulatedIlluminant } from "../../src/tables/illuminants.ts";
import { observerTable } from "../../src/tables/observers.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import published from "../reference/colorchecker24_published_colorimetry.csv?raw";
import oracle from "../reference/oracle_spectra_to_xyz_lab.csv?raw";
import { onGrid, spectrum } from "./referenceSpectra.ts";
import { summationWeights } from "./summationWeights.ts";

const rows = parseCsvTable(oracle, "oracle_spectra_to_xyz_lab.csv").rows;
const pairs = [...new Set(rows.map((row) => `${row.text("illuminant")} ${row.text("observer_deg")}`))].map(
  (pair) => pair.split(" ") as [string, string],
);
const observerOf = (degrees: string): ObserverName => (degrees === "2" ? "1931-2" : "1964-10");
const isCoarse = (row: CsvRow) => row.text("dataset").includes("babelcolor");
const rowsOf = (illuminant: string, degrees: string) =>
  rows.filter((row) => row.text("illuminant") === illuminant && row.text("observer_deg") === degrees);

describe("reflectance to XYZ and CIELAB", () => {
  // source: XYZ and CIELAB of 62 published spectra computed independently from the CIE tables, eight digits.
  // Tolerance: one unit in the eighth digit of XYZ; of L*, a*, b* the same, 1e-6 for numbers up to 100.
  test.each(pairs)("plain summation under %s, %s° gives every printed digit", (illuminant, degrees) => {
    const chosen = rowsOf(illuminant, degrees);
    expect(chosen.length).toBe(62);
    for (const row of chosen) {
      const grid = isCoarse(row) ? spectralGrid(380, 730, 10) : spectralGrid(380, 780, 5);
      const weights = summationWeights(
        observerTable(observerOf(degrees)),
        tabulatedIlluminant(illuminant),
        grid,
      );
      const R = onGrid(row.text("dataset"), row.text("sample"), grid);
      const XYZ = reflectanceToXYZ(R, weights, new Float64Array(3));
      const Lab = reflectanceToLab(R, weights, new Float64Array(3));
      for (let i = 0; i < 3; i++) {
        expect(Math.abs(XYZ[i] / row.number("XYZ"[i]) - 1)).toBeLessThan(1e-7);
        expect(Math.abs(Lab[i] - row.number("Lab"[i]))).toBeLessThan(1e-6);
        expect(Math.abs(weights.white[i] / row.number(`${"XYZ"[i]}n`) - 1)).toBeLessThan(1e-7);
      }
    }
  });

  // Same source, sums at 5 nm to 780 nm, against the weights at 10 nm that the workbench uses. They differ by: every
  // second reading left out (the spectra bend by up to some 0.01 between readings 10 nm apart), readings above 730 nm
  // replaced by the one at 730, and the light between its tabulated values, which one calculation skips and the other
  // draws as straight lines. Together that must stay far below what an eye can see: 0.15, a third of 0.5.
  test.each(pairs)(
    "weights at 10 nm under %s, %s° stay within 0.15 of sums at 5 nm",
    (illuminant, degrees) => {
      for (const row of rowsOf(illuminant, degrees).filter((candidate) => !isCoarse(candidate))) {
        const { wavelengths, values } = spectrum(row.text("dataset"), row.text("sample"));
        const own = reflectanceToLab(
          resampleToGrid(wavelengths, values).values,
          weightsFor(observerOf(degrees), illuminant),
          new Float64Array(3),
        );
        const expected = ["L", "a", "b"].map((field) => row.number(field));
        expect(deltaE2000(expected, own)).toBeLessThan(0.15);
      }
    },
  );

  // Spectra known every 10 nm from 380 to 730 nm under smooth lights: both calculations see the same readings and
  // differ only in curve against staircase. 0.03 is far below one digit of any colour display.
  test.each([
    ["D65", "10"],
    ["A", "10"],
    ["D50", "2"],
    ["D65", "2"],
  ])("weights at 10 nm and sums at 10 nm agree under %s, %s°", (illuminant, degrees) => {
    for (const row of rowsOf(illuminant, degrees).filter(isCoarse)) {
      const { values } = spectrum(row.text("dataset"), row.text("sample"));
      const own = reflectanceToLab(values, weightsFor(observerOf(degrees), illuminant), new Float64Array(3));
      const expected = ["L", "a", "b"].map((field) => row.number(field));
      expect(deltaE2000(expected, own)).toBeLessThan(0.03);
    }
  });

  test("the spectra of the 24-patch chart have their published colours", () => {
    // source: D. Pascale, BabelColor average of 24-patch charts: spectra, and xyY under D50 for the 2° observer.
    // Tolerance: xyY is printed to four decimals, in dark patches up to 0.15 in CIELAB, and the charts' white is that of
    // an unknown summation.
    const table = parseCsvTable(published, "colorchecker24_published_colorimetry.csv");
    const chosen = table.rows.filter((row) => row.text("dataset") === "BabelColor Average");
    expect(chosen.length).toBe(24);
    const weights = weightsFor("1931-2", "D50");
    let total = 0;
    for (const row of chosen) {
      const R = spectrum("colorchecker24_reflectance_babelcolor_average.csv", row.text("patch")).values;
      const own = reflectanceToLab(R, weights, new Float64Array(3));
      const white = chromaticityToXYZ(row.number("white_x"), row.number("white_y"));
      const XYZ = chromaticityToXYZ(row.number("x"), row.number("y"), 100 * row.number("Y"));
      const expected = XYZToLab(XYZ, white, new Float64Array(3));
      total += deltaEab(expected, own);
      expect(deltaEab(expected, own)).toBeLessThan(0.2);
    }
    expect(total / 24).toBeLessThan(0.08);
  });
});
