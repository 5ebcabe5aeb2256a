import { describe, expect, test } from "vitest";
import { XYZToLab } from "../../src/colour/Lab.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { seenReflectanceInto, toMeasuredInto } from "../../src/optics/interface.ts";
import { numberColumn } from "../../src/tables/csvTable.ts";
import { illuminantTable } from "../../src/tables/illuminants.ts";
import { observerTable } from "../../src/tables/observers.ts";
import { filmOf, groundOf, index, nm, oracle } from "./filmReference.ts";
import { toInternalInto } from "./toInternalInto.ts";

/** CIELAB by plain summation every 10 nm, 380 to 730 nm, D65 and 10° observer, as the reference states. */
function plainLab(reflectance: Float64Array): Float64Array {
  const light = illuminantTable("D65");
  const eye = observerTable("1964-10");
  const at = (
    table: { wavelengths: ArrayLike<number> },
    values: ArrayLike<number>,
    wavelength: number,
  ): number => {
    const place = Array.from(table.wavelengths).indexOf(wavelength);
    if (place < 0) throw new RangeError(`${wavelength} nm is not tabulated`);
    return values[place];
  };
  const XYZ = new Float64Array(3);
  const white = new Float64Array(3);
  nm.forEach((wavelength, i) => {
    if (wavelength < 380 || wavelength > 730) return;
    const power = at(light, light.power, wavelength);
    [eye.x, eye.y, eye.z].forEach((curve, c) => {
      const product = power * at(eye, curve, wavelength);
      white[c] += product;
      XYZ[c] += product * reflectance[i];
    });
  });
  const k = 100 / white[1];
  return XYZToLab(
    XYZ.map((value) => value * k),
    white.map((value) => value * k),
    new Float64Array(3),
  );
}

test("the reference holds 24 films at 40 wavelengths", () => {
  expect(index.rows).toHaveLength(24);
  expect(nm).toHaveLength(40);
});

describe.each(
  index.rows.map((row) => ({
    film: row.text("film"),
    recipe: row.text("recipe_parts_of_K_and_S"),
    substrate: row.text("substrate_internal_reflectance"),
    X: row.number("thickness_X"),
    k1: row.number("k1"),
    k2: row.number("k2"),
    included: ["L_incl", "a_incl", "b_incl"].map((field) => row.number(field)),
    excluded: ["L_excl", "a_excl", "b_excl"].map((field) => row.number(field)),
  })),
)("$film: $recipe over $substrate, X = $X", ({ film, recipe, substrate, X, k1, k2, included, excluded }) => {
  const { K, S } = filmOf(recipe);
  const internal = new Float64Array(nm.length);
  filmReflectanceInto(K, S, X, groundOf(substrate), internal);
  const measured = new Float64Array(nm.length);
  toMeasuredInto(internal, k1, k2, "included", measured);

  test("reflectance, internal and measured", () => {
    const expectedInternal = numberColumn(oracle, `${film}_internal`);
    const expectedMeasured = numberColumn(oracle, `${film}_measured`);
    const backwards = new Float64Array(nm.length);
    toInternalInto(expectedMeasured, k1, k2, "included", backwards);
    for (let i = 0; i < nm.length; i++) {
      // 5.1e-9: half of the last printed digit and the integration's tolerance
      expect(Math.abs(internal[i] - expectedInternal[i])).toBeLessThan(5.1e-9);
      expect(Math.abs(measured[i] - expectedMeasured[i])).toBeLessThan(5.1e-9);
      // backwards the printed digit is stretched by 1/slope ≤ 1/0.384
      expect(Math.abs(backwards[i] - expectedInternal[i])).toBeLessThan(2e-8);
    }
  });

  test("CIELAB, specular included and excluded", () => {
    const seen = new Float64Array(nm.length);
    seenReflectanceInto(internal, k1, k2, 0, seen);
    const [withSpecular, without] = [plainLab(measured), plainLab(seen)];
    for (let c = 0; c < 3; c++) {
      // 8 significant digits printed: half of the last digit of values up to 90
      expect(Math.abs(withSpecular[c] - included[c])).toBeLessThan(6e-7);
      expect(Math.abs(without[c] - excluded[c])).toBeLessThan(6e-7);
    }
  });
});
