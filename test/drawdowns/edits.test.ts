import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  emptyTable,
  groundsOf,
  labelTrouble,
  withAmount,
  withFilm,
  withGroundsExchanged,
  withNewFilm,
  withoutFilm,
  withReading,
  withSpecular,
} from "../../src/drawdowns/edits.ts";
import {
  type KeptDrawdowns,
  type KeptReading,
  keptDrawdowns,
  ownLabels,
} from "../../src/drawdowns/keptTable.ts";
import { readingOf } from "../../src/drawdowns/offeredReadings.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { writeDrawdownFile } from "../../src/tables/writeDrawdownFile.ts";
import { calibrated, roseTable } from "../cells/calibrationFixture.ts";

const nm = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
const flat = (value: number) => Float64Array.from(nm, () => value);

describe("a table by hand", () => {
  test("the example's table typed in anew gives the same K and S", async () => {
    const rose = roseTable();
    let table = emptyTable<KeptReading>();
    table = { ...table, bare: rose.bare };
    rose.films.forEach((film, index) => {
      table = withNewFilm(table);
      const { label, basis, thickness } = film;
      table = withFilm(table, index, { label, basis, thickness });
      rose.components.forEach((id, j) => {
        if (film.amounts[j + 1] > 0) table = withAmount(table, index, id, film.amounts[j + 1]);
      });
      table = withAmount(table, index, undefined, film.amounts[0]);
      for (const reading of film.readings) {
        const readings = withReading(table.films[index].readings, reading);
        table = withFilm(table, index, { readings });
      }
    });
    expect([...table.components].sort()).toEqual([...rose.components].sort());
    const [typed, loaded] = [
      (await calibrated({ drawdowns: table })).value,
      (await calibrated({ drawdowns: rose })).value,
    ];
    // identity: the order of the components does not matter
    typed.curves!.absorption.forEach((K, i) => expect(K).toBeCloseTo(loaded.curves!.absorption[i], 8));
  });

  test("a new drawdown has a name of its own, and no edit touches the table it was made from", () => {
    const rose = roseTable();
    const before = structuredClone(rose);
    const twice = withNewFilm(withNewFilm(rose));
    expect(twice.films.slice(-2).map(({ label }) => label)).toEqual(["Drawdown 9", "Drawdown 10"]);
    withAmount(twice, 0, "pr254", 3);
    withoutFilm(rose, 2);
    withSpecular(rose.films[0].readings, 0, "excluded");
    expect(rose).toEqual(before);
  });

  test("a component comes with its first amount and goes with its last", () => {
    const rose = roseTable();
    const more = withAmount(rose, 1, "pr254", 3);
    expect(more.components).toEqual([...rose.components, "pr254"]);
    expect(more.films[1].amounts.at(-1)).toBe(3);
    expect(more.films[0].amounts.at(-1)).toBe(0);
    expect(withAmount(more, 1, "pr254", 0)).toEqual(rose);
    expect(withoutFilm(more, 1).components).toEqual(rose.components);
  });

  test.each([
    ["", "empty"],
    ["  bare ", "uncoated card"],
    ["masstone  thick", "Another drawdown is called"],
    ["x".repeat(201), "201 signs"],
    ["something new", undefined],
    ["masstone thin", undefined],
  ])("the label “%s”", (label, words) => {
    const trouble = labelTrouble(roseTable(), 0, label);
    if (words) expect(trouble).toContain(words);
    else expect(trouble).toBeUndefined();
  });

  test("labels that a file gave twice are told apart, whatever they are", () => {
    const names = fc.array(fc.constantFrom("a", "a (2)", "b", "a (2) (2)"), { maxLength: 8 });
    fc.assert(
      fc.property(names, (labels) => {
        const own = ownLabels(labels.map((label) => ({ label })));
        expect(new Set(own).size).toBe(own.length);
        labels.forEach((label, i) => {
          if (labels.indexOf(label) === i) expect(own[i]).toBe(label);
        });
      }),
      { numRuns: 300, seed: 20257 },
    );
  });

  test("a table changed by hand is written and read again", () => {
    const table = withAmount(withFilm(roseTable(), 0, { label: "masstone, 11 µm" }), 0, "pr254", 0.5);
    const settings = { paste: "Rose", density: 1.09, volumeSolids: 0.29 };
    const again = keptDrawdowns(readDrawdownFile(writeDrawdownFile({ settings, ...table }), "rose.csv"));
    const plain = (kept: KeptDrawdowns) => ({ ...kept, notes: [] });
    expect(plain(again)).toEqual(plain(table));
  });
});

describe("readings", () => {
  const one = (value: number, ground = "black", specular: "included" | "excluded" = "included") =>
    readingOf([flat(value)], ground, specular);

  test("over one ground they are averaged, with their spread, one after another as all at once", () => {
    const values = [0.1, 0.13, 0.12, 0.2];
    const atOnce = readingOf(values.map(flat), "Black", "included");
    const [oneByOne] = values.reduce<KeptReading[]>((list, value) => withReading(list, one(value)), []);
    expect(oneByOne.repeats).toBe(4);
    expect(oneByOne.singles).toHaveLength(4);
    // identity: mean and standard deviation of the four values
    const mean = 0.1375;
    const spread = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / 3);
    expect(atOnce.reflectance[3]).toBeCloseTo(mean, 6);
    expect(oneByOne.reflectance[3]).toBeCloseTo(mean, 5);
    expect(oneByOne.spread[3]).toBeCloseTo(spread, 5);
  });

  test("other grounds and other specular modes stay apart until they are made alike", () => {
    const readings = [one(0.1), one(0.3, "white"), one(0.06, "black", "excluded")].reduce<KeptReading[]>(
      (list, reading) => withReading(list, reading),
      [],
    );
    expect(readings).toHaveLength(3);
    const merged = withSpecular(readings, 2, "included");
    expect(merged).toHaveLength(2);
    expect(merged[0].reflectance[0]).toBeCloseTo(0.08, 6);
  });

  test("two grounds are exchanged, three are not", () => {
    const two = [one(0.1), one(0.3, "white")];
    expect(withGroundsExchanged(two).map(({ ground }) => ground)).toEqual(["white", "black"]);
    expect(withGroundsExchanged(withGroundsExchanged(two))).toEqual(two);
    const three = [...two, one(0.2, "grey")];
    expect(withGroundsExchanged(three)).toEqual(three);
    expect(groundsOf([...three, one(0.1, " Black ")])).toEqual(["black", "white", "grey"]);
  });
});
