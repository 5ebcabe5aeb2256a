import { describe, expect, test } from "vitest";
import readme from "../../README.md?raw";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { spectralGrid } from "../../src/colour/grid.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { tristimulusWeights } from "../../src/colour/weights.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { toMeasuredInto } from "../../src/optics/interface.ts";
import { calibrateShelf, usualShelfOptions } from "../../src/shelf/calibrateShelf.ts";
import { shelfFromRows } from "../../src/shelf/shelfFromRows.ts";
import { predictReading } from "../../src/shelf/shelfPrediction.ts";
import { illuminantTable } from "../../src/tables/illuminants.ts";
import { observerTable } from "../../src/tables/observers.ts";
import { readShelfFile, type ShelfFile } from "../../src/tables/shelfFile.ts";
import { thorough } from "../howMuch.ts";
import ladderCsv from "../reference/measured_films_ladder.csv?raw";
import mixturesCsv from "../reference/measured_films_mixtures.csv?raw";

// source: measured films of Chen, Huang, Chang, Ouhyoung 2019, arXiv:1904.00275 (headers of test/reference/measured_films_*)

const grid = spectralGrid(400, 730, 10);
const weights = tristimulusWeights(observerTable("1964-10"), illuminantTable("D65"), grid);
const surface = { externalReflection: 0.03, internalReflection: 0.6 };
const ladders = readShelfFile(ladderCsv, "ladder.csv");
const mixtures = readShelfFile(mixturesCsv, "mixtures.csv");
const points = grid.length;

const shelfOf = (files: ShelfFile[]) =>
  shelfFromRows(files, { known: [], surface, grid, weightsOf: () => weights });

const colourOf = (R: Float64Array) => reflectanceToLab(R, weights, new Float64Array(3));

const share = (values: readonly number[], part: number) =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(part * values.length))];

const words = (values: readonly number[]) =>
  `${share(values, 0.5).toFixed(1)} and ${share(values, 0.9).toFixed(1)}`;

/** ΔE00 and band of every row of the second file. */
function predicted(learnt: ShelfFile, others: ShelfFile, seed = 1, keep = usualShelfOptions.keep) {
  const { shelf, spectra, places } = shelfOf([learnt, others]);
  const { draws } = calibrateShelf(shelf, { ...usualShelfOptions, seed, keep });
  return places.flatMap(({ file }, r) => {
    if (file !== others) return [];
    const { Lab, band90 } = predictReading(draws, r, places.length, shelf.wavelengths, weights, 1);
    return [{ difference: deltaE2000(colourOf(spectra[r] as Float64Array), Lab), band90 }];
  });
}

/** The plain way: ln K and ln S of each paint and wavelength by itself, those that fit its own ladder best. */
function plainly(): number[] {
  const { shelf, spectra, places } = shelfOf([ladders, mixtures]);
  const K = shelf.components.map(() => new Float64Array(points));
  const S = shelf.components.map(() => new Float64Array(points));
  const one = new Float64Array(1);
  const reading = (k: number, s: number, i: number, ground: Float64Array) => {
    filmReflectanceInto([k], [s], 1, [ground[i]], one);
    toMeasuredInto(one, 0.03, 0.6, "included", one);
    return one[0];
  };
  shelf.components.forEach((_, c) => {
    const own = shelf.readings.flatMap(({ films, ground }, r) => {
      const { parts } = shelf.films[films[0]];
      const alone = parts.length === 1 && parts[0].component === c && places[r].file === ladders;
      return alone
        ? [{ X: parts[0].amount, R: spectra[r] as Float64Array, ground: shelf.grounds[ground] }]
        : [];
    });
    for (let i = 0; i < points; i++) {
      const cost = (lnK: number, lnS: number) =>
        own.reduce((sum, { X, R, ground }) => {
          return sum + (reading(X * Math.exp(lnK), X * Math.exp(lnS), i, ground) - R[i]) ** 2;
        }, 0);
      let best = { cost: Number.POSITIVE_INFINITY, lnK: 0, lnS: 0 };
      const look = (k: number, s: number) => {
        const found = cost(k, s);
        if (found < best.cost) best = { cost: found, lnK: k, lnS: s };
      };
      for (let k = -4; k <= 8; k += 0.5) for (let s = -2; s <= 8; s += 0.5) look(k, s);
      for (let step = 0.25; step > 0.002; step /= 1.5) {
        const { lnK, lnS } = best;
        for (const dk of [-step, 0, step]) for (const ds of [-step, 0, step]) look(lnK + dk, lnS + ds);
      }
      K[c][i] = Math.exp(best.lnK);
      S[c][i] = Math.exp(best.lnS);
    }
  });
  return shelf.readings.flatMap(({ films, ground }, r) => {
    if (places[r].file !== mixtures) return [];
    const R = new Float64Array(points).map((_, i) => {
      const { parts } = shelf.films[films[0]];
      const of = (values: Float64Array[]) =>
        parts.reduce((sum, { component, amount }) => sum + amount * values[component][i], 0);
      return reading(of(K), of(S), i, shelf.grounds[ground]);
    });
    return [deltaE2000(colourOf(spectra[r] as Float64Array), colourOf(R))];
  });
}

/** What the README says of a row of its table. */
function stated(beginning: string): string {
  const row = readme.split("\n").find((line) => line.startsWith(`| ${beginning}`));
  return row?.split("|").at(-2)?.trim() ?? `no row begins with "${beginning}"`;
}

describe("measured films of two paints together, predicted", () => {
  test("from six ladders alone, the plain way beside it", () => {
    const ours = predicted(ladders, mixtures);
    const differences = ours.map(({ difference }) => difference);
    const inside = ours.filter(({ difference, band90 }) => difference <= band90).length;
    const plain = plainly();
    expect(share(differences, 0.5)).toBeLessThan(share(plain, 0.5));
    expect(inside).toBeGreaterThanOrEqual(20);
    expect(stated("26 films of two paints, from ladders of each paint alone")).toBe(
      `ΔE00 ${words(differences)} in the median and for nine of ten, ${inside} inside the stated band; wavelength by wavelength ${words(plain)}`,
    );
    expect(share(differences, 0.5)).toBeLessThanOrEqual(3.2);
  });

  test.skipIf(!thorough)(
    "from the ladders and half of the mixtures, drawn 20 times",
    () => {
      const random = seededRandom(5);
      const all: { difference: number; band90: number }[] = [];
      for (let draw = 0; draw < 20; draw++) {
        const rows = [...mixtures.rows];
        for (let i = rows.length - 1; i > 0; i--) {
          const j = Math.floor(random() * (i + 1));
          [rows[i], rows[j]] = [rows[j], rows[i]];
        }
        const learnt = { ...ladders, rows: [...ladders.rows, ...rows.slice(0, 13)] };
        all.push(...predicted(learnt, { ...mixtures, rows: rows.slice(13) }, draw + 1, 24));
      }
      const differences = all.map(({ difference }) => difference);
      const inside = all.filter(({ difference, band90 }) => difference <= band90).length;
      expect(stated("13 of the 26 films, from ladders and the other 13")).toBe(
        `ΔE00 ${words(differences)} in the median and for nine of ten, ${Math.round((100 * inside) / all.length)} % inside`,
      );
      expect(share(differences, 0.5)).toBeLessThanOrEqual(2.3);
      expect(share(differences, 0.9)).toBeLessThanOrEqual(4.8);
    },
    300_000,
  );
});
