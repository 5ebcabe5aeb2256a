import { expect, test } from "vitest";
import readme from "../README.md?raw";
import { deltaE2000, deltaEab } from "../src/colour/difference.ts";
import { reflectanceToLab, XYZToLab } from "../src/colour/Lab.ts";
import { resampleToGrid } from "../src/colour/resample.ts";
import { chromaticityToXYZ } from "../src/colour/XYZ.ts";
import { filmReflectanceInto } from "../src/optics/film.ts";
import { toMeasuredInto } from "../src/optics/interface.ts";
import { smoothestFor } from "../src/ports/labCurve.ts";
import { numberColumn, parseCsvTable } from "../src/tables/csvTable.ts";
import { weightsFor } from "../src/tables/weights.ts";
import { spectrum } from "./colour/referenceSpectra.ts";
import { filmReference } from "./optics/filmReference.ts";
import published from "./reference/colorchecker24_published_colorimetry.csv?raw";
import munsellCsv from "./reference/munsell_nickerson_reflectance.csv?raw";

// The README compares predictions with open measured data; here its figures are computed, and what it says is held
// against them.

const percentile = (values: readonly number[], share: number) =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))];

/** The last column of the row of the README's comparison that begins with these words. */
function stated(beginning: string): string {
  const row = readme.split("\n").find((line) => line.startsWith(`| ${beginning}`));
  return row?.split("|").at(-2)?.trim() ?? `no row begins with "${beginning}"`;
}

test("Lab of the 24-patch chart from its spectra, against its published xyY", () => {
  // source: D. Pascale, BabelColor average: spectra, and xyY under D50 for the 2° observer
  const weights = weightsFor("1931-2", "D50");
  const differences = parseCsvTable(published, "colorchecker24_published_colorimetry.csv")
    .rows.filter((row) => row.text("dataset") === "BabelColor Average")
    .map((row) => {
      const R = spectrum("colorchecker24_reflectance_babelcolor_average.csv", row.text("patch")).values;
      const white = chromaticityToXYZ(row.number("white_x"), row.number("white_y"));
      const XYZ = chromaticityToXYZ(row.number("x"), row.number("y"), 100 * row.number("Y"));
      return deltaEab(
        XYZToLab(XYZ, white, new Float64Array(3)),
        reflectanceToLab(R, weights, new Float64Array(3)),
      );
    });
  const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length;
  expect(stated("24 chart patches")).toBe(
    `ΔE*ab ${mean.toFixed(2)} on average, ${Math.max(...differences).toFixed(2)} at most`,
  );
});

test("films of measured paints, against the integrated differential equation", () => {
  // source: K and S measured by Okumura 2005; films integrated numerically, independently of the closed form
  let most = 0;
  for (const { K, S, X, ground, k1, k2, measured } of filmReference()) {
    const R = new Float64Array(K.length);
    filmReflectanceInto(K, S, X, ground, R);
    toMeasuredInto(R, k1, k2, "included", R);
    R.forEach((value, i) => {
      most = Math.max(most, Math.abs(value - measured[i]));
    });
  }
  expect(stated("24 films over three grounds")).toBe(`reflectance within ${most.toExponential(0)}`);
});

test("a colour known as Lab only, seen in another light", () => {
  // source: reflectances of 231 Munsell chips, measured by D. Nickerson
  const table = parseCsvTable(munsellCsv, "munsell_nickerson_reflectance.csv");
  const nm = numberColumn(table, "wavelength_nm");
  const daylight = weightsFor("1964-10", "D65");
  const lamp = weightsFor("1964-10", "A");
  const missed: number[] = [];
  let within = 0;
  for (const column of table.columns.filter((name) => name !== "wavelength_nm")) {
    const R = resampleToGrid(nm, numberColumn(table, column)).values;
    const Lab = reflectanceToLab(R, daylight, new Float64Array(3));
    const known = { Lab, observer: "1964-10", illuminant: "D65", specular: "excluded" } as const;
    const { reflectance, lights } = smoothestFor(known, () => {});
    const difference = deltaE2000(
      reflectanceToLab(R, lamp, new Float64Array(3)),
      reflectanceToLab(reflectance, lamp, new Float64Array(3)),
    );
    missed.push(difference);
    if (difference <= lights.find(({ illuminant }) => illuminant === "A")!.ninety) within++;
  }
  const text =
    `ΔE00 ${percentile(missed, 0.5).toFixed(1)} in the median, ${percentile(missed, 0.9).toFixed(1)} for nine of ten; ` +
    `${Math.round((100 * within) / missed.length)} % lie within the doubt that was stated as nine of ten`;
  expect(stated("231 painted chips")).toBe(text);
});
