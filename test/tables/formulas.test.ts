import { describe, expect, test } from "vitest";
import { registry } from "../../cells/allKinds.ts";
import { filmReflectance, reflectivity } from "../../src/optics/film.ts";
import { parseCsvTable } from "../../src/tables/csvTable.ts";
import { formulas, readFormulas } from "../../src/tables/formulas.ts";

/** Kinds that compute nothing by a formula of their own: words, questions about other cells, and a printed page. */
const without = ["note", "question", "job-sheet"];

describe("the formulas", () => {
  test("every kind of cell that computes has one, and none stands for a kind that is not there", () => {
    const named = new Set(formulas.flatMap(({ cells }) => cells));
    expect([...named].filter((kind) => !registry.has(kind))).toEqual([]);
    expect([...registry.keys()].filter((kind) => !named.has(kind)).sort()).toEqual([...without].sort());
  });

  test("every one says what its letters mean and where it comes from, in British spelling", () => {
    for (const { id, name, formula, meaning, source } of formulas) {
      expect(meaning, id).toMatch(/\.$/);
      expect(source.length, id).toBeGreaterThan(5);
      expect(`${name} ${formula} ${meaning}`, id).not.toMatch(/\bcolor|\bgray|\bfiber\b/i);
    }
  });

  test.each([
    ["a,note,,f,m.,s\n", /row 2, field "name": is empty/],
    ["a,note,n,f,m.,s\na,note,n,f,m.,s\n", /row 3: "a" stands in row 2 already/],
  ])("a faulty table is refused: %j", (rows, message) => {
    expect(() =>
      readFormulas(parseCsvTable(`id,cells,name,formula,meaning,source\n${rows}`, "formulas.csv")),
    ).toThrow(message);
  });

  // identity: the formulas as they are printed for a reader give what the core computes in its own, safer form
  test("the film as printed is the film as computed", () => {
    const coth = (x: number) => 1 / Math.tanh(x);
    for (const K of [0.001, 0.02, 0.3]) {
      for (const S of [0.005, 0.05, 0.5]) {
        const a = 1 + K / S;
        const b = Math.sqrt(a * a - 1);
        expect(reflectivity(K, S)).toBeCloseTo(1 + K / S - Math.sqrt((K / S) ** 2 + (2 * K) / S), 12);
        for (const X of [5, 25, 80]) {
          for (const Rg of [0.04, 0.5, 0.9]) {
            const printed = (1 - Rg * (a - b * coth(b * S * X))) / (a - Rg + b * coth(b * S * X));
            expect(filmReflectance(K, S, X, Rg)).toBeCloseTo(printed, 12);
          }
        }
      }
    }
  });
});
