import { expect, test } from "vitest";
import { usualPriors } from "../../src/shelf/priors.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import measuredCsv from "../reference/pigment_ks_okumura2005.csv?raw";

// source: K and S of 14 artists' acrylics, Okumura 2005 (header of test/reference/pigment_ks_okumura2005.csv)
const measured = parseCsvTable(measuredCsv, "pigment_ks_okumura2005.csv");
const nm = numberColumn(measured, "wavelength_nm");

/** 1σ of the logarithm of each pigment's curve about its level, 400 to 700 nm, smallest first; the white's S is the unit. */
function swings(kind: "K" | "S"): number[] {
  const curves = measured.columns.filter((name) => name.endsWith(` ${kind}`) && name !== "Titanium White S");
  return curves
    .map((name) => {
      const logs = numberColumn(measured, name)
        .filter((_, i) => nm[i] >= 400 && nm[i] <= 700)
        .map(Math.log);
      const level = logs.reduce((sum, one) => sum + one, 0) / logs.length;
      return Math.sqrt(logs.reduce((sum, one) => sum + (one - level) ** 2, 0) / (logs.length - 1));
    })
    .sort((p, q) => p - q);
}

test.each([
  ["K", 14, "absorptionShape"],
  ["S", 13, "scatteringShape"],
] as const)("%s is held to swing as the middle one of %i measured pigments does", (kind, count, shape) => {
  const found = swings(kind);
  expect(found).toHaveLength(count);
  const middle = found[found.length >> 1];
  for (const prior of usualPriors) expect(Math.abs(Math.log(prior[shape][0] / middle))).toBeLessThan(0.1);
});
