import fc from "fast-check";
import * as v from "valibot";
import { describe, expect, test } from "vitest";
import coloursText from "../../data/examples/drawdowns-rose-colours.csv?raw";
import { withFilm } from "../../src/drawdowns/edits.ts";
import { type KeptColours, keptColours } from "../../src/drawdowns/keptTable.ts";
import { componentSchema, componentToSave } from "../../src/ports/pigmentSet.ts";
import { readDrawdownColours } from "../../src/tables/drawdownColours.ts";
import { roseTruth } from "../calibration/exampleDrawdowns.ts";
import { cases } from "../howMuch.ts";
import { calibrated, notANumber, roseTable, wordsOf } from "./calibrationFixture.ts";

const roseColours = (): KeptColours => keptColours(readDrawdownColours(coloursText, "rose-colours.csv"));
const fromColours = (colours: KeptColours | null, more: object = {}) =>
  calibrated({ source: "colours", colours, colourError: 0.3, ...more });

describe("a calibration cell with colours only", () => {
  test("the example: coarse, with the error to expect, and bands that hold the truth", async () => {
    const { value, graph } = await fromColours(roseColours(), { compareWith: "pv19" });
    expect(value.status).toBe("coarse");
    expect(value.from).toBe("colours");
    expect(value.predicts!).toBeGreaterThan(0.2);
    expect(value.predicts!).toBeLessThan(3);
    expect(wordsOf({ ...(await fromColours(roseColours())) })).toContain("Coarse");
    const { from } = value.bands!;
    expect(from).toBe("the coarse fit");
    // By construction of the example the truth is known; 90 % bands are to hold most of it.
    const held = (["absorption", "scattering"] as const).flatMap((which) => {
      const { low, high } = value.bands![which];
      return Array.from(roseTruth[which], (truth, i) => truth >= low[i] && truth <= high[i]);
    });
    expect(held.filter(Boolean).length / held.length).toBeGreaterThan(0.75);
    expect(value.comparison!.figures!.strength).toBeGreaterThan(0.4);
    expect(graph.outcome("paste").status).toBe("ok");
  });

  test("the component says that it is coarse, and its σ goes with it", async () => {
    const { value } = await fromColours(roseColours(), { by: "the bench" });
    const component = value.component!;
    expect(component.provenance).toMatchObject({ kind: "calibrated", by: "the bench" });
    expect(component.provenance.note).toMatch(/^coarse: from colours alone.*8 drawdowns.*within ΔE00 \d\.\d/);
    const kept = v.parse(componentSchema, JSON.parse(JSON.stringify(componentToSave(component))));
    // A coarse component is less sure than one from spectra of the same films.
    const { value: sure } = await calibrated({ drawdowns: roseTable() });
    const share = (sigma: ArrayLike<number>, K: ArrayLike<number>) => sigma[18] / K[18];
    expect(share(kept.absorptionSigma!, kept.absorption)).toBeGreaterThan(
      2 * share(sure.component!.absorptionSigma!, sure.component!.absorption),
    );
  });

  test("both ways of measuring are kept side by side; the choice tells which counts", async () => {
    const both = { drawdowns: roseTable(), colours: roseColours() };
    expect((await calibrated({ ...both, source: "spectra" })).value.from).toBe("spectra");
    expect((await calibrated({ ...both, source: "colours" })).value.from).toBe("colours");
  });

  const colours = roseColours();
  const unknown = colours.films
    .slice(0, 2)
    .map((film) => ({ ...film, thickness: { kind: "unknown" as const } }));
  test.each<[string, KeptColours | null, RegExp]>([
    ["none yet", null, /no drawdowns yet/],
    ["no film", { ...colours, films: [] }, /refused[\s\S]*No drawdown with a reading holds the new paste/],
    ["one film", { ...colours, films: colours.films.slice(0, 1) }, /no telling how far off/],
    [
      "no thickness and no white",
      { ...colours, films: unknown },
      /refused[\s\S]*Thickness and strength cannot be told apart/,
    ],
    ["no bare card", { ...colours, bare: [] }, /bare ground "black" was not measured/],
    [
      "laid amounts",
      withFilm(colours, 0, { thickness: { kind: "stated", basis: "amount", value: 2 } }),
      /masstone thin: a laid amount gives no thickness in µm/,
    ],
    [
      "a colour no film can have beside the others",
      withFilm(colours, 3, {
        readings: colours.films[3].readings.map((one) => ({
          ...one,
          Lab: [100, 120, -120] as const,
        })) as never,
      }),
      /cannot be described together with the others/,
    ],
    [
      "two of one name",
      withFilm(colours, 1, { label: "masstone thin" }),
      /same label[\s\S]*masstone thin \(2\)/,
    ],
  ])("%s: a clear verdict", async (_, table, words) => {
    const ended = await fromColours(table);
    if (ended.outcome.status === "error") expect(ended.outcome.bug).toBe(false);
    expect(wordsOf(ended)).toMatch(words);
    expect(wordsOf(ended)).not.toMatch(/NaN|undefined|Infinity/);
    expect(notANumber(ended.value)).toEqual([]);
  });

  test("refits are not offered for them", async () => {
    const { graph } = await fromColours(roseColours());
    await expect(graph.act("paste", "refit", new AbortController().signal)).rejects.toThrow(/coarse/);
  });

  test(`${cases(10)} random tables: never a fault, never NaN`, async () => {
    const wild = fc.array(
      fc.record({
        film: fc.nat(7),
        L: fc.double({ min: 0, max: 100, noNaN: true }),
        a: fc.double({ min: -128, max: 128, noNaN: true }),
        b: fc.double({ min: -128, max: 128, noNaN: true }),
        opaque: fc.boolean(),
      }),
      { maxLength: 4 },
    );
    await fc.assert(
      fc.asyncProperty(wild, async (changes) => {
        let table = roseColours();
        for (const { film, L, a, b, opaque } of changes) {
          table = withFilm(table, film, {
            readings: table.films[film].readings.map((one) => ({ ...one, Lab: [L, a, b] })),
            thickness: opaque ? { kind: "opaque" } : { kind: "unknown" },
          });
        }
        const ended = await fromColours(table);
        expect(ended.outcome.status).toBe("ok");
        expect(notANumber(ended.value)).toEqual([]);
        expect(ended.value.component !== undefined).toBe(ended.value.status !== "refused");
        if (ended.value.component) v.parse(componentSchema, componentToSave(ended.value.component));
      }),
      { numRuns: cases(10), seed: 20256 },
    );
  });
});
