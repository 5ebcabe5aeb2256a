import type { Component } from "../../src/coating/component.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import csv from "../reference/pigment_ks_okumura2005.csv?raw";

/** Fourteen measured artist acrylics (Okumura 2005) as components: K and S per unit of paint, relative to titanium white. */
export const measuredPaints: readonly Component[] = (() => {
  const table = parseCsvTable(csv, "pigment_ks_okumura2005.csv");
  const nm = numberColumn(table, "wavelength_nm");
  const rows = [...wavelengths(workingGrid)].map((w) => nm.indexOf(w));
  const names = csv
    .split("\n")
    .find((line) => line.startsWith("wavelength_nm"))!
    .trim()
    .split(",")
    .filter((field) => field.endsWith(" K"))
    .map((field) => field.slice(0, -2));
  return names.map((name) => {
    const of = (letter: "K" | "S") => {
      const column = numberColumn(table, `${name} ${letter}`);
      return Float64Array.from(rows, (row) => column[row]);
    };
    return {
      id: name,
      name,
      role: "base paint",
      density: 1,
      volumeSolids: 1,
      absorption: of("K"),
      scattering: of("S"),
      provenance: { kind: "measured", by: "Okumura 2005" },
    };
  });
})();
