import fc from "fast-check";
import * as v from "valibot";
import { describe, expect, test } from "vitest";
import { comparisonWords } from "../../cells/calibration/view/words.ts";
import type { SweptRatio } from "../../cells/ratio-sweep/define.ts";
import unmeasuredText from "../../data/examples/drawdowns-rose-unmeasured.csv?raw";
import lanternRoomText from "../../data/examples/the-lantern-room.json?raw";
import { settledRows, settledWords } from "../../src/calibration/settled.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { parseNotebook } from "../../src/document/notebook.ts";
import { setParameters } from "../../src/document/operations.ts";
import { withFilm, withGroundsExchanged } from "../../src/drawdowns/edits.ts";
import { type KeptDrawdowns, keptDrawdowns } from "../../src/drawdowns/keptTable.ts";
import { filmReflectance } from "../../src/optics/film.ts";
import { toInternal, toMeasured } from "../../src/optics/interface.ts";
import { componentSchema, componentToSave, type PigmentSet } from "../../src/ports/pigmentSet.ts";
import type { Recipe } from "../../src/ports/recipe.ts";
import { standingOf } from "../../src/ports/standing.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { cases } from "../howMuch.ts";
import { calibrated, notANumber, roseTable, wordsOf } from "./calibrationFixture.ts";
import { computed } from "./computed.ts";

/** The table with a drawdown changed. */
const changed = (index: number, patch: Partial<KeptDrawdowns["films"][number]>): KeptDrawdowns =>
  withFilm(roseTable(), index, patch);

describe("a calibration cell", () => {
  test("the example: accepted, with a component that keeps bands and provenance", async () => {
    const { value } = await calibrated({
      drawdowns: roseTable(),
      colourIndex: "PR 122",
      by: "the bench",
      when: "2026-05-04",
    });
    expect(value.status).toBe("accepted");
    const component = value.component!;
    expect(component).toMatchObject({ id: "rose-sample", name: "Rose sample", colourIndex: "PR 122" });
    expect(component.provenance).toMatchObject({ kind: "calibrated", by: "the bench", when: "2026-05-04" });
    expect(component.provenance.note).toContain("from 8 drawdowns");
    // What is kept in a notebook is what came out: through the schema of the pigment set and back.
    const kept = v.parse(componentSchema, JSON.parse(JSON.stringify(componentToSave(component))));
    expect(kept.absorption).toEqual([...value.curves!.absorption]);
    expect(kept.absorptionSigma).toEqual([...value.curves!.absorptionSigma]);
    expect(kept.scatteringSigma).toEqual([...value.curves!.scatteringSigma]);
    expect(kept.provenance).toEqual(componentToSave(component).provenance);
  });

  test("added, it stands in the set as it is; other drawdowns make it renewable; a borrowed id is told", async () => {
    const { value } = await calibrated({ drawdowns: roseTable() });
    const saved = componentToSave(value.component!);
    expect(standingOf(saved, value.pigments)).toBe("not in it");
    const kept = v.parse(componentSchema, JSON.parse(JSON.stringify(saved)));
    const added = await calibrated({ drawdowns: roseTable() }, { added: [kept] });
    expect(standingOf(componentToSave(added.value.component!), added.value.pigments)).toBe("up to date");
    const fewer = await calibrated({ drawdowns: changed(7, { use: false }) }, { added: [kept] });
    expect(standingOf(componentToSave(fewer.value.component!), fewer.value.pigments)).toBe("renewable");
    const borrowed = await calibrated({ drawdowns: roseTable(), name: "PV19" });
    expect(standingOf(componentToSave(borrowed.value.component!), borrowed.value.pigments)).toBe(
      "takes the place of another",
    );
  });

  test("its doubt goes on into recipe and sweep", async () => {
    const { value } = await calibrated({ drawdowns: roseTable() });
    const saved = JSON.parse(JSON.stringify(componentToSave(value.component!)));
    const demo = setParameters(parseNotebook(lanternRoomText), "rack", { added: [saved] });
    const red = demo.cells.find(({ id }) => id === "red")!.parameters.amounts as object[];
    const graph = await computed(
      setParameters(demo, "red", { amounts: [...red, { component: "rose-sample", volume: 2 }] }),
    );
    const doubt = (graph.lastValue("red") as Recipe).preview!.doubt!;
    expect(doubt.high).toBeGreaterThan(doubt.low);
    expect((graph.lastValue("ratio") as SweptRatio).band).toBeDefined();
  });

  test("refits make other bands, which belong to this table only", async () => {
    const first = await calibrated({ drawdowns: roseTable() });
    expect(first.value.bands!.from).toBe("the fit");
    const signal = new AbortController().signal;
    const progress: number[] = [];
    const patch = (await first.graph.act("paste", "refit", signal, (share) => progress.push(share))) as {
      refits: object;
    };
    expect(progress.at(-1)).toBe(1);
    expect(progress.length).toBeGreaterThan(5);
    const refitted = await calibrated({ drawdowns: roseTable(), ...patch });
    expect(refitted.value.bands!.from).toBe("200 refits");
    const { low, high } = refitted.value.bands!.absorption;
    low.forEach((least, i) => expect(least).toBeLessThanOrEqual(high[i]));
    const other = await calibrated({ drawdowns: changed(7, { use: false }), ...patch });
    expect(other.value.bands!.from).toBe("the fit");
    expect(other.value.refitsAreOld).toBe(true);
  });

  test("refits can be stopped", async () => {
    const { graph } = await calibrated({ drawdowns: roseTable() });
    const controller = new AbortController();
    const stopped = graph.act("paste", "refit", controller.signal, () =>
      controller.abort(new DOMException("stopped", "AbortError")),
    );
    await expect(stopped).rejects.toThrow(/stopped/);
  });

  test("an outlier is set aside with its cause; taken back it is used; left out it is gone", async () => {
    const label = "let-down 1:6 thick";
    const wrong = { amounts: [7, 14, 79] };
    const { value: aside } = await calibrated({ drawdowns: changed(5, wrong) });
    expect(aside.contradicting).toMatchObject([{ label, cause: "composition", used: false }]);
    expect(aside.status).toBe("accepted with cautions");
    const { value: back } = await calibrated({ drawdowns: changed(5, { ...wrong, always: true }) });
    expect(back.contradicting).toMatchObject([{ label, used: true }]);
    expect(back.spectral!.drawdowns.find((one) => one.label === label)!.used).toBe(true);
    expect(back.predicts!).toBeGreaterThan(aside.predicts!);
    const { value: out } = await calibrated({ drawdowns: changed(5, { ...wrong, use: false }) });
    expect(out.contradicting).toEqual([]);
    expect(out.spectral!.drawdowns.map((one) => one.label)).not.toContain(label);
    // identity: set aside or left out, the fit is made from the same films
    out.curves!.absorption.forEach((K, i) => expect(K).toBeCloseTo(aside.curves!.absorption[i], 6));
  });

  test("of two that contradict, one taken back: the other stays aside", async () => {
    const table = withFilm(changed(5, { amounts: [7, 14, 79] }), 2, { amounts: [7, 14, 79] });
    const { value: both } = await calibrated({ drawdowns: table });
    expect(both.contradicting.map(({ label }) => label).sort()).toEqual([
      "let-down 1:20 thin",
      "let-down 1:6 thick",
    ]);
    const { value } = await calibrated({ drawdowns: withFilm(table, 5, { always: true }) });
    const used = value.spectral!.drawdowns.map(({ label }) => label);
    expect(used).toContain("let-down 1:6 thick");
    expect(used).not.toContain("let-down 1:20 thin");
    expect(value.findings.filter(({ code }) => code === "outlier").map(({ drawdowns }) => drawdowns)).toEqual(
      [["let-down 1:20 thin"]],
    );
  });
});

describe("words of a calibration", () => {
  const nm = wavelengths(workingGrid);

  test("where K and S are settled", async () => {
    const { value } = await calibrated({ drawdowns: roseTable() });
    expect(settledWords(value.curves!.status!, nm)).toBe("K and S are both settled at every wavelength.");
    const status = value.curves!.status!.map((_, i) =>
      i < 2
        ? ("ratio" as const)
        : i === 9
          ? ("absorption" as const)
          : i > 33
            ? ("nothing" as const)
            : ("both" as const),
    );
    expect(settledWords(status, nm)).toBe(
      "K and S are both settled at 400–460 and 480–710 nm; only K at 470 nm (S is lost in it); only the ratio K/S at " +
        "380–390 nm; nothing at 720–730 nm.",
    );
    expect(settledRows(status).map(({ label, holds }) => [label, holds.filter(Boolean).length])).toEqual([
      ["K settled", 32],
      ["S settled", 31],
      ["only K/S", 2],
      ["nothing", 2],
    ]);
  });

  test("a paste beside itself: equal strength, no difference", async () => {
    // identity: a component that is compared with itself
    const red = lanternRoom.pastes.find(({ id }) => id === "pr254")!;
    const { value } = await calibrated(
      { drawdowns: roseTable(), name: "Rose sample", compareWith: "twin" },
      { added: [{ ...componentToSave(red), id: "twin", name: "Twin" }] },
    );
    expect(value.comparison!.figures).toBeDefined();
    const words = comparisonWords(value.comparison!, "Rose sample");
    expect(words[0]).toMatch(/relative tinting strength is \d+\u00a0% .*read at \d+ nm/);
    const saved = componentToSave(value.component!);
    const twin = await calibrated(
      { drawdowns: roseTable(), compareWith: "twin" },
      { added: [{ ...saved, id: "twin", name: "Twin" }] },
    );
    expect(twin.value.comparison!.figures!.strength).toBeCloseTo(1, 12);
    const text = comparisonWords(twin.value.comparison!, "Rose sample").join(" ");
    expect(text).toContain("about as strongly as Twin");
    expect(text).toContain("100 g of it do the work of 100 g of Twin");
    expect(text).toContain("no visible difference");
  });

  test("with the white itself there is no comparison, and it says why", async () => {
    const { value } = await calibrated({ drawdowns: roseTable(), compareWith: "pw6" });
    expect(comparisonWords(value.comparison!, "Rose sample")).toEqual([
      "It cannot be compared with Titanium white: it is the white that colours are let down with.",
    ]);
    expect(value.component).toBeDefined();
  });
});

describe("bad tables: each a clear verdict, no NaN, no fault of the program", () => {
  const surface = { externalReflection: 0.04, internalReflection: 0.6 };
  const flat = (value: number) => Array.from({ length: 36 }, () => value);
  const reading = (ground: string, reflectance: number[]) => ({
    ground,
    specular: "included" as const,
    reflectance,
    spread: flat(0),
    repeats: 1,
  });
  /** Films over black and white by the film equation, the ground as on the example's card. */
  const simulated = (films: { X: number; K: number; S: number }[], told: "opaque" | "dry"): KeptDrawdowns => {
    const { bare, ...table } = roseTable();
    const { externalReflection: k1, internalReflection: k2 } = surface;
    return {
      ...table,
      components: [],
      bare,
      films: films.map(({ X, K, S }, f) => ({
        label: `film ${f + 1}`,
        use: true,
        basis: "volume",
        amounts: [1],
        thickness: told === "opaque" ? { kind: "opaque" } : { kind: "stated", basis: "dry", value: X },
        readings: bare.map(({ ground, reflectance }) =>
          reading(
            ground,
            reflectance.map((R, i) =>
              toMeasured(
                filmReflectance(K, S, X, Math.max(0, toInternal(R, k1, k2, "included"))) +
                  1e-4 * Math.sin(i + f),
                k1,
                k2,
                "included",
              ),
            ),
          ),
        ),
      })),
    };
  };
  const rose = roseTable();
  const [over, above] = rose.films[4].readings;
  const unread = { ...rose, bare: rose.bare.slice(0, 1) };

  test.each<[string, KeptDrawdowns, RegExp]>([
    [
      "contradictory labels: two films of one name",
      changed(1, { label: "masstone thin" }),
      /Several drawdowns have the same label[\s\S]*masstone thin \(2\)/,
    ],
    [
      "two measurements that cannot come from one film",
      changed(4, { readings: [over, { ...above, reflectance: flat(0.86) }] }),
      /let-down 1:6 thin: the two readings cannot come from one film/,
    ],
    [
      "white below black",
      changed(4, { readings: withGroundsExchanged(rose.films[4].readings) }),
      /let-down 1:6 thin: it reads darker over white than over black[\s\S]*probably exchanged/,
    ],
    ["a single drawdown", { ...rose, films: rose.films.slice(0, 1) }, /masstone thin is the only drawdown/],
    [
      "all opaque",
      simulated(
        [20, 40, 60].map((X) => ({ X, K: 2, S: 1 })),
        "opaque",
      ),
      /refused[\s\S]*Only the ratio of absorption to scattering/,
    ],
    [
      "all clear",
      simulated(
        [5, 10, 15].map((X) => ({ X, K: 1e-7, S: 1e-7 })),
        "dry",
      ),
      /refused[\s\S]*changes the panels by hardly more than the noise/,
    ],
    [
      "duplicate rows",
      { ...rose, films: [...rose.films, { ...rose.films[3], label: "again" }] },
      /let-down 1:20 thick and again hold the same reading to the last digit/,
    ],
    ["no film", { ...rose, films: [] }, /refused[\s\S]*No usable drawdown holds the new paste/],
    [
      "films without readings",
      { ...rose, films: rose.films.map((film) => ({ ...film, readings: [] })) },
      /refused[\s\S]*have no reading yet and are passed over/,
    ],
    [
      "all left out",
      { ...rose, films: rose.films.map((film) => ({ ...film, use: false })) },
      /No usable drawdown holds the new paste/,
    ],
    ["a ground that was not measured", unread, /the bare ground "white" was not measured/],
    ["nothing poured", changed(0, { amounts: [0, 0, 0] }), /masstone thin: .*at least one amount above 0/],
    [
      "µm beside laid amounts",
      changed(0, { thickness: { kind: "stated", basis: "amount", value: 2 } }),
      /some thicknesses are in µm and some are laid amounts/i,
    ],
    [
      "a component that is not on the shelf",
      { ...rose, components: ["unobtainium", "binder"] },
      /component "unobtainium" is not known/i,
    ],
    [
      "no thickness and no white",
      keptDrawdowns(readDrawdownFile(unmeasuredText, "unmeasured.csv")),
      /refused[\s\S]*Thickness and strength cannot be told apart/,
    ],
  ])("%s", async (_, drawdowns, words) => {
    const ended = await calibrated({ drawdowns, compareWith: "pv19" });
    if (ended.outcome.status === "error") expect(ended.outcome.bug).toBe(false);
    expect(wordsOf(ended)).toMatch(words);
    expect(wordsOf(ended)).not.toMatch(/NaN|undefined|Infinity/);
    expect(notANumber(ended.value)).toEqual([]);
  });

  test("mixed grids are brought to one, and it says so", async () => {
    const nm = [360, 390, 420, 450, 480, 510, 540, 570, 600, 630, 660, 690, 720];
    const head = `label,ground,dry_um,${[...new Set([...nm, ...Array.from({ length: 36 }, (_, i) => 380 + 10 * i)])].sort((a, b) => a - b)}`;
    const columns = head.split(",").slice(3).map(Number);
    const row = (name: string, ground: string, X: string, value: (w: number) => number, grid: number[]) =>
      [name, ground, X, ...columns.map((w) => (grid.includes(w) ? value(w) : ""))].join(",");
    const fine = Array.from({ length: 36 }, (_, i) => 380 + 10 * i);
    const text = [
      head,
      row("bare", "black", "", () => 0.05, fine),
      row("bare", "white", "", () => 0.8, nm),
      row("m", "black", "12", (w) => 0.1 + w / 1e4, fine),
      row("m", "white", "12", (w) => 0.3 + w / 2e3, nm),
    ].join("\n");
    const drawdowns = keptDrawdowns(readDrawdownFile(text, "mixed.csv"));
    const { value } = await calibrated({ drawdowns });
    expect(value.assumptions.join()).toContain("different wavelengths");
    expect(notANumber(value)).toEqual([]);
  });

  test("an empty cell says what is needed", async () => {
    const { outcome } = await calibrated({});
    expect(outcome).toMatchObject({ status: "error", bug: false, field: "drawdowns" });
  });

  test(`${cases(25)} random tables: never a fault, never NaN, and a component only when accepted`, async () => {
    const spoil = fc.array(
      fc.record({
        film: fc.nat(7),
        use: fc.boolean(),
        always: fc.constantFrom(undefined, true),
        level: fc.double({ min: 0, max: 1, noNaN: true }),
        kind: fc.nat(5),
      }),
      { maxLength: 5 },
    );
    await fc.assert(
      fc.asyncProperty(spoil, async (changes) => {
        let table = roseTable();
        for (const { film, use, always, level, kind } of changes) {
          const { readings } = table.films[film];
          const patch: Partial<KeptDrawdowns["films"][number]> = [
            { use },
            { amounts: [level, 1 - level, 0.5] },
            { thickness: { kind: "stated" as const, basis: "gap" as const, value: 1 + 200 * level } },
            { readings: readings.map((one) => ({ ...one, reflectance: flat(level) })) },
            { thickness: { kind: "unknown" as const } },
            { readings: readings.map((one) => ({ ...one, specular: "excluded" as const })), always },
          ][kind];
          table = withFilm(table, film, patch);
        }
        const ended = await calibrated({ drawdowns: table });
        if (ended.outcome.status === "error") expect(ended.outcome.bug).toBe(false);
        else {
          expect(ended.value.component !== undefined).toBe(ended.value.status !== "refused");
          expect(notANumber(ended.value)).toEqual([]);
          expect(wordsOf(ended)).not.toMatch(/NaN|Infinity/);
          if (ended.value.component) v.parse(componentSchema, componentToSave(ended.value.component));
        }
      }),
      { numRuns: cases(25), seed: 20255 },
    );
  });
});

describe("the pigment set", () => {
  test("an empty shelf but for the binder: calibrated all the same, without comparison", async () => {
    const drawdowns = { ...roseTable(), components: ["binder"], films: roseTable().films.slice(0, 2) };
    drawdowns.films = drawdowns.films.map((film) => ({ ...film, amounts: [40, 60] }));
    const binder = { ...componentToSave(lanternRoom.binder) };
    const { value } = await calibrated(
      { drawdowns, compareWith: "binder" },
      { set: "none", added: [binder] },
    );
    expect(value.comparison!.figures).toBeUndefined();
    expect((value.pigments as PigmentSet).components).toHaveLength(1);
  });
});
