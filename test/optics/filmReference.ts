import { reflectivityInto } from "../../src/optics/film.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import indexCsv from "../reference/film_oracle_km_index.csv?raw";
import reflectanceCsv from "../reference/film_oracle_km_reflectance.csv?raw";
import pigmentCsv from "../reference/pigment_ks_okumura2005.csv?raw";

// independent method: the Kubelka-Munk differential equation integrated numerically (tolerance 1e-11) for 24
// translucent films; K and S measured by Okumura 2005; surface by Saunderson 1942.

export const index = parseCsvTable(indexCsv, "film_oracle_km_index.csv");
export const oracle = parseCsvTable(reflectanceCsv, "film_oracle_km_reflectance.csv");
const pigments = parseCsvTable(pigmentCsv, "pigment_ks_okumura2005.csv");
export const nm = numberColumn(oracle, "wavelength_nm");

/** "0.6 Pyrrole Red + 0.4 Quinacridone Magenta" → K and S weighted by the parts. */
export function filmOf(recipe: string): { K: Float64Array; S: Float64Array } {
  const K = new Float64Array(nm.length);
  const S = new Float64Array(nm.length);
  for (const term of recipe.split(" + ")) {
    const [, part, pigment] = /^([\d.]+) (.+)$/.exec(term)!;
    const k = numberColumn(pigments, `${pigment} K`);
    const s = numberColumn(pigments, `${pigment} S`);
    for (let i = 0; i < nm.length; i++) {
      K[i] += Number(part) * k[i];
      S[i] += Number(part) * s[i];
    }
  }
  return { K, S };
}

/** "black 0.03" → flat; "opaque Yellow Ochre" → its reflectivity. */
export function groundOf(substrate: string): Float64Array {
  const ground = new Float64Array(nm.length);
  const opaque = /^opaque (.+)$/.exec(substrate);
  if (opaque) {
    const { K, S } = filmOf(`1 ${opaque[1]}`);
    reflectivityInto(K, S, ground);
    return ground;
  }
  return ground.fill(Number(/[\d.]+$/.exec(substrate)![0]));
}

/** Every film of the reference: what it is made of, and its reflectance as an instrument reads it (specular included). */
export function filmReference() {
  return index.rows.map((row) => ({
    ...filmOf(row.text("recipe_parts_of_K_and_S")),
    ground: groundOf(row.text("substrate_internal_reflectance")),
    X: row.number("thickness_X"),
    k1: row.number("k1"),
    k2: row.number("k2"),
    measured: numberColumn(oracle, `${row.text("film")}_measured`),
  }));
}
