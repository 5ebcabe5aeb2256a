import { beforeAll, describe, expect, test } from "vitest";
import compositionsCsv from "../../data/lantern-room/vinyl-compositions.csv?raw";
import { type Blend, blendOf, blendShares } from "../../src/coating/blend.ts";
import type { Component } from "../../src/coating/component.ts";
import { Eye, seenFromMeasured } from "../../src/coating/eye.ts";
import { buildUp, type Film, groundReflectance } from "../../src/coating/paintedPart.ts";
import { coatsOf, dryBuildLimit, totalDryBuild } from "../../src/coating/thickness.ts";
import { deltaE2000, LChDifferenceOf } from "../../src/colour/difference.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { metamerismIndexOfReflectance } from "../../src/colour/metamerism.ts";
import { filmReflectanceInto, reflectivityInto } from "../../src/optics/film.ts";
import { internalFromMeasured, toMeasuredInto, usualSurface } from "../../src/optics/interface.ts";
import { pasteModel } from "../../src/optics/pasteModel.ts";
import { numberColumn, parseCsvTable } from "../../src/tables/csvTable.ts";
import {
  componentSets,
  type LanternRecipe,
  lanternRoom,
  spectralTerms,
} from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import measuredCsv from "../reference/pigment_ks_okumura2005.csv?raw";

const weights = weightsFor("1964-10", "D65");
const { externalReflection: k1, internalReflection: k2 } = usualSurface;
const { demoPlan, demoRecipe, demoRatio, wineRecipe, wineRatio, hidingRecipe, hidingPlan } = lanternRoom;
const [grey, cream, white] = lanternRoom.basePaints;
const rack = componentSets["Lantern Room rack"]();
const parts = lanternRoom.parts.map(
  (part) => internalFromMeasured(part.reflectance, k1, k2, "included").values,
);
const black = parts[lanternRoom.parts.findIndex((part) => part.id === "bolsters")];

// Colours are judged without the surface reflection (gloss, off the highlight) and with all of it (dead matt).
const eyes = [0, 1].map((sheen) => new Eye({ weights, surface: usualSurface, sheen }));
const [gloss] = eyes;
const labOf = (internal: Float64Array, eye = gloss) => eye.see(internal).Lab;
const targetLab = (target: { reflectance: Float64Array }, eye = gloss) =>
  seenFromMeasured(target.reflectance, "included", eye.conditions).Lab;

const poured = (volumes: Record<string, number>): Blend =>
  blendOf(
    rack,
    rack.map(({ id }) => volumes[id] ?? 0),
  );
const volumesOf = (recipe: LanternRecipe): Record<string, number> =>
  Object.fromEntries(recipe.volumes.map(({ id, volume }) => [id, volume]));
const pouredRecipe = (recipe: LanternRecipe): Blend => poured(volumesOf(recipe));

function ground(ratio: number, substrate: Float64Array): Float64Array {
  const blend = blendOf([grey, cream], blendShares(ratio, 0, 2));
  return groundReflectance(substrate, basecoatFilm(blend, demoPlan.basecoatCoats));
}

const basecoatFilm = (blend: Blend, coats: number): Film => ({
  ...blend,
  dryThickness: coats * demoPlan.basecoatWet * blend.mix.volumeSolids,
});

function opaque({ absorption, scattering }: Pick<Blend, "absorption" | "scattering">): Float64Array {
  const out = new Float64Array(absorption.length);
  reflectivityInto(absorption, scattering, out);
  return out;
}

/** Differences to a Lab after 0, 1, 2 … coats of the demo plan, its heavy coats going on to `coats` in all. */
function differences(
  blend: Blend,
  under: Float64Array,
  target: ArrayLike<number>,
  coats: number,
  eye = gloss,
) {
  const plan = coatsOf({ ...demoPlan, heavyCoats: coats - demoPlan.lightCoats });
  const dry = plan.map((coat) => coat.wetThickness * blend.mix.volumeSolids);
  return buildUp(under, blend, dry, eye).map((step) => deltaE2000(target, step.Lab));
}

const plannedCoats = demoPlan.lightCoats + demoPlan.heavyCoats;

describe("the Lantern Room as given", () => {
  test("thirteen pastes, a binder and three base paints, all physical and marked invented", () => {
    expect(lanternRoom.pastes.map((paste) => paste.colourIndex)).toEqual(
      // source: the scenario's list of pastes
      "PW 6,PBk 7,PR 254,PR 101,PV 19,PR 179,PR 188,PO 73,PY 83,PY 42,PB 15:3,PV 23,PG 7".split(","),
    );
    expect(rack).toHaveLength(14);
    expect(componentSets["Lantern Room base paints"]()).toEqual([grey, cream, white]);
    for (const component of [...rack, grey, cream, white]) {
      expect(component.provenance.kind).toBe("invented");
      expect(component.density).toBeGreaterThan(1); // common practice: water-borne
      expect(component.density).toBeLessThan(1.95);
      expect(component.costPerMl).toBeGreaterThan(0);
      expect(component.lightfastness === undefined).toBe(component.role === "binder");
    }
  });

  test("parts and areas", () => {
    // source: the scenario: seats 9 × 0.55 m², bolsters 4 × 0.32 m², plinth 6 × 0.21 m²
    expect(lanternRoom.parts.map(({ count, area }) => [count, area])).toEqual([
      [9, 0.55],
      [4, 0.32],
      [6, 0.21],
    ]);
    for (const internal of parts) expect(Math.min(...internal)).toBeGreaterThan(0); // identity: readings lie above k1
  });

  test("targets and faded seats are the vinyls of the composition table, to the four printed decimals", () => {
    const table = parseCsvTable(compositionsCsv, "vinyl-compositions.csv");
    const vinyl = (name: string): Float64Array => {
      const absorption = new Float64Array(workingGrid.length);
      const scattering = new Float64Array(workingGrid.length);
      for (const row of table.rows.filter((r) => r.text("vinyl") === name)) {
        const { absorption: K, scattering: S } = pasteModel(spectralTerms(row.text("ingredient")));
        for (let i = 0; i < K.length; i++) {
          absorption[i] += row.number("amount") * K[i];
          scattering[i] += row.number("amount") * S[i];
        }
      }
      const out = opaque({ absorption, scattering });
      toMeasuredInto(out, k1, k2, "included", out);
      return out;
    };
    const printed: [string, { wavelengths: Float64Array; reflectance: Float64Array }][] = [
      ["poppy", lanternRoom.target],
      ["wine", lanternRoom.wineTarget],
      ["poppy-faded", lanternRoom.parts[0]],
    ];
    for (const [name, curve] of printed) {
      expect(curve.wavelengths).toEqual(wavelengths(workingGrid));
      vinyl(name).forEach((R, i) => {
        expect(Math.abs(R - curve.reflectance[i])).toBeLessThan(0.5001e-4); // half a unit of the last printed digit
      });
    }
  });

  test("no ingredient of the vinyls stands in the rack, and the match is slightly metameric", () => {
    const rackIds = new Set(rack.map((component) => component.id));
    for (const row of parseCsvTable(compositionsCsv, "vinyl-compositions.csv").rows) {
      expect(rackIds.has(row.text("ingredient"))).toBe(false);
    }
    const blend = pouredRecipe(demoRecipe);
    const X = totalDryBuild(coatsOf(demoPlan), blend.mix.volumeSolids);
    const film = new Float64Array(workingGrid.length);
    filmReflectanceInto(blend.absorption, blend.scattering, X, ground(demoRatio, black), film);
    const sample = gloss.see(film).reflectance;
    const standard = seenFromMeasured(
      lanternRoom.target.reflectance,
      "included",
      gloss.conditions,
    ).reflectance;
    const index = (light: string) =>
      metamerismIndexOfReflectance(standard, sample, weights, weightsFor("1964-10", light), deltaE2000).index;
    const indices = ["A", "FL2", "FL11", "LED-B3"].map(index);
    expect(Math.max(...indices)).toBeGreaterThan(0.2); // common practice: another maker's colour never matches in all lights
    expect(Math.max(...indices)).toBeLessThan(1.5);
  });

  test.each([
    ["demo recipe", demoRecipe],
    ["wine recipe", wineRecipe],
    ["well-hiding recipe", hidingRecipe],
  ])("%s: at most 25 % paste, a ready dye's volume solids, 100 mL", (_, recipe) => {
    // common practice: paste at most a quarter of a flexible dye by volume; volume solids 0.25 to 0.30
    const { mix } = pouredRecipe(recipe);
    expect(mix.loading).toBeLessThanOrEqual(0.25);
    expect(mix.volumeSolids).toBeGreaterThan(0.25);
    expect(mix.volumeSolids).toBeLessThan(0.3);
    expect(recipe.volumes.reduce((sum, { volume }) => sum + volume, 0)).toBeCloseTo(100, 9);
    // binder and three or four pastes, each of them known
    expect(recipe.volumes.length).toBeLessThanOrEqual(5);
    for (const { id } of recipe.volumes) expect(rack.map((component) => component.id)).toContain(id);
  });

  test("a red needs the richer pigment loading", () => {
    // common practice
    expect(pouredRecipe(demoRecipe).mix.loading).toBeGreaterThan(pouredRecipe(hidingRecipe).mix.loading);
  });

  test("the planned film stays within what flexible trim bears", () => {
    // common practice: 60 µm dry
    const colour = totalDryBuild(coatsOf(demoPlan), pouredRecipe(demoRecipe).mix.volumeSolids);
    const base = demoPlan.basecoatCoats * demoPlan.basecoatWet * cream.volumeSolids;
    expect(colour + base).toBeLessThanOrEqual(dryBuildLimit);
  });

  test("terms of an unknown ingredient, or with an unknown word, are refused by name", () => {
    expect(() => spectralTerms("moon dust")).toThrow(/moon dust needs one row "floor"/);
    const table = parseCsvTable(
      "ingredient,term,amount,wavelength_nm,width_ev,exponent\nx,bump,1,500,0.1,\n",
      "t.csv",
    );
    expect(() => spectralTerms("x", table)).toThrow(/t\.csv, row 2, field "term": "bump" is unknown/);
    const twice = parseCsvTable(
      "ingredient,term,amount,wavelength_nm,width_ev,exponent\nx,floor,1,,,0\nx,floor,1,,,0\n",
      "t.csv",
    );
    expect(() => spectralTerms("x", twice)).toThrow(/row 3.*a second floor of x/);
  });
});

describe("red over black", () => {
  test.each([0, 1])("bare black stays far from the target for 5 to 8 coats (eye %i)", (index) => {
    // common practice: a correct red cannot reach its target over black within any sensible number of coats
    const eye = eyes[index];
    const target = targetLab(lanternRoom.target, eye);
    const bare = differences(pouredRecipe(demoRecipe), black, target, 8, eye);
    expect(bare[5]).toBeGreaterThan(5);
    expect(Math.min(...bare)).toBeGreaterThan(5);
  });

  test("the same coats over the blended ground reach it in four, on every part", () => {
    // common practice: a light ground gives the red its colour back; ΔE00 ≤ 1 is just noticeable side by side
    for (const eye of eyes) {
      const target = targetLab(lanternRoom.target, eye);
      for (const part of parts) {
        const steps = differences(
          pouredRecipe(demoRecipe),
          ground(demoRatio, part),
          target,
          plannedCoats,
          eye,
        );
        expect(steps[plannedCoats]).toBeLessThanOrEqual(1);
        expect(steps[0]).toBeGreaterThan(10); // not reached by the ground alone
      }
    }
    expect(plannedCoats).toBeLessThanOrEqual(4);
  });
});

describe("basecoat", () => {
  test("a light blend rich in white hides black in two coats", () => {
    // common practice: ΔE00 ≤ 1 to its own opaque colour, contrast ratio 0.98 (the usual end point of hiding)
    const blend = blendOf([grey, cream], blendShares(demoRatio, 0, 2));
    const film = basecoatFilm(blend, 2);
    const overBlack = groundReflectance(black, film);
    expect(deltaE2000(labOf(opaque(blend)), labOf(overBlack))).toBeLessThanOrEqual(1);
    const onWhite = groundReflectance(new Float64Array(workingGrid.length).fill(0.8), film);
    const onBlack = groundReflectance(new Float64Array(workingGrid.length), film);
    expect(gloss.see(onBlack).XYZ[1] / gloss.see(onWhite).XYZ[1]).toBeGreaterThan(0.98);
    expect(labOf(overBlack)[0]).toBeGreaterThan(70); // light
    expect(
      deltaE2000(labOf(opaque(grey)), labOf(groundReflectance(black, basecoatFilm(blendOf([grey], [1]), 1)))),
    ).toBeLessThan(1);
  });

  const sweep = (recipe: LanternRecipe, target: Float64Array, part: Float64Array): number[] =>
    Array.from({ length: 101 }, (_, k) => {
      return differences(pouredRecipe(recipe), ground(k / 100, part), target, plannedCoats)[plannedCoats];
    });
  const bestOf = (curve: number[]): number => curve.indexOf(Math.min(...curve)) / 100;

  test.each([0, 1, 2])("neither base paint alone is best: the blend beats both on part %i", (index) => {
    // common practice
    const curve = sweep(demoRecipe, targetLab(lanternRoom.target), parts[index]);
    const best = Math.min(...curve);
    expect(bestOf(curve)).toBeGreaterThan(0.05);
    expect(bestOf(curve)).toBeLessThan(0.95);
    expect(best).toBeLessThanOrEqual(0.5);
    expect(curve[0]).toBeGreaterThan(1.5);
    expect(curve[100]).toBeGreaterThan(1.5);
    expect(curve[Math.round(demoRatio * 100)] - best).toBeLessThan(0.1);
  });

  test("the best blend depends on the target: the wine red wants more grey", () => {
    // common practice
    const poppy = bestOf(sweep(demoRecipe, targetLab(lanternRoom.target), black));
    const curve = sweep(wineRecipe, targetLab(lanternRoom.wineTarget), black);
    expect(poppy - bestOf(curve)).toBeGreaterThan(0.2);
    expect(bestOf(curve)).toBeGreaterThan(0.05);
    expect(Math.min(...curve)).toBeLessThan(0.5);
    expect(Math.abs(bestOf(curve) - wineRatio)).toBeLessThan(0.05);
    // and each is worse off on the other's ground
    expect(curve[Math.round(demoRatio * 100)]).toBeGreaterThan(Math.min(...curve) + 0.5);
  });

  test("the wine red is the darker and the bluer of the two", () => {
    const [poppy, wine] = [lanternRoom.target, lanternRoom.wineTarget].map((target) => targetLab(target));
    const { lightness, hue } = LChDifferenceOf(poppy, wine);
    expect(lightness).toBeLessThan(-5);
    expect(hue).toBeLessThan(-5);
  });
});

describe("steering an intense red", () => {
  const red = { pr254: 20, binder: 80 };
  const under = new Float64Array(workingGrid.length);
  beforeAll(() => under.set(ground(demoRatio, black)));
  /** Lab after the planned coats of a mix. */
  const painted = (volumes: Record<string, number>): Float64Array => {
    const blend = poured(volumes);
    const film = new Float64Array(workingGrid.length);
    filmReflectanceInto(
      blend.absorption,
      blend.scattering,
      totalDryBuild(coatsOf(demoPlan), blend.mix.volumeSolids),
      under,
      film,
    );
    return labOf(film);
  };
  /** Swaps so much of the red for another paste that the colour moves by ΔE00 = 1, loading kept. */
  const oneStep = (id: string) => {
    const from = painted(red);
    const swapped = (volume: number) => painted({ ...red, pr254: red.pr254 - volume, [id]: volume });
    let [low, high] = [0, red.pr254];
    expect(deltaE2000(from, swapped(high))).toBeGreaterThan(1);
    for (let n = 0; n < 50; n++) {
      const middle = (low + high) / 2;
      if (deltaE2000(from, swapped(middle)) > 1) high = middle;
      else low = middle;
    }
    return LChDifferenceOf(from, swapped(low));
  };
  const others = lanternRoom.pastes.map((paste) => paste.id).filter((id) => id !== "pr254");
  const yellower = ["po73", "pr188", "py83"];

  test("yellower is one way out: it costs no chroma", () => {
    // common practice
    for (const id of yellower) {
      const { chroma, hue } = oneStep(id);
      expect(hue).toBeGreaterThan(0);
      expect(chroma).toBeGreaterThanOrEqual(0);
    }
  });

  test("bluer is the other: of the rest PV 19 loses least chroma, and every one loses some", () => {
    // common practice
    const magenta = oneStep("pv19");
    expect(magenta.hue).toBeLessThan(0);
    for (const id of others.filter((other) => !yellower.includes(other))) {
      const { chroma } = oneStep(id);
      expect(chroma).toBeLessThan(0);
      if (id !== "pv19") expect(chroma).toBeLessThan(magenta.chroma);
    }
  });

  test("of the strong dark pastes PV 23 pays least chroma for its turn towards blue", () => {
    // common practice; white is no dark paste and PB 15:3, PG 7 and PBk 7 are the others
    const price = (id: string) => {
      const { chroma, hue } = oneStep(id);
      expect(hue).toBeLessThan(0);
      return chroma / hue;
    };
    const violet = price("pv23");
    for (const id of ["pb15-3", "pg7", "pbk7"]) expect(price(id)).toBeGreaterThan(violet);
  });

  test("a drop of a deep bluish red moves hue less than a drop of pure blue", () => {
    // common practice; 0.05 mL is one drop at 20 drops/mL, in 100 mL
    const drop = (id: string) => LChDifferenceOf(painted(red), painted({ ...red, [id]: 0.05 })).hue;
    for (const id of ["pv19", "pr179"]) {
      expect(drop(id)).toBeLessThan(0);
      expect(Math.abs(drop(id))).toBeLessThan(Math.abs(drop("pb15-3")) / 3);
    }
  });

  test("white lightens, dulls and turns the red towards pink", () => {
    // common practice
    for (const volume of [0.5, 2, 5]) {
      const { lightness, chroma, hue } = LChDifferenceOf(painted(red), painted({ ...red, pw6: volume }));
      expect(lightness).toBeGreaterThan(0);
      expect(chroma).toBeLessThan(0);
      expect(hue).toBeLessThan(0);
    }
  });
});

describe("a well-hiding colour for comparison", () => {
  const blend = pouredRecipe(hidingRecipe);
  const own = labOf(opaque(blend));
  const missAfter = (substrate: Float64Array, ...wet: number[]): number => {
    const dry = wet.map((thickness) => thickness * blend.mix.volumeSolids);
    return deltaE2000(own, buildUp(substrate, blend, dry, gloss)[wet.length].Lab);
  };

  test("reaches its own opaque colour in two heavy coats on every part, without a base", () => {
    // common practice
    for (const part of parts) expect(missAfter(part, 30, 30)).toBeLessThanOrEqual(1);
    expect(missAfter(black, 30)).toBeGreaterThan(1);
    expect(missAfter(black, 15, 30)).toBeGreaterThan(1); // so that its plan is two light coats and a heavy one
    const planned = coatsOf(hidingPlan).map((coat) => coat.wetThickness);
    for (const part of parts) expect(missAfter(part, ...planned)).toBeLessThanOrEqual(1);
  });

  test("the red needs about double its mixed volume: base and coats over coats, area for area", () => {
    // common practice: 1.5 to 2.5 times; transfer efficiency is the same for both and cancels
    const wet = (plan: typeof demoPlan) =>
      coatsOf(plan).reduce((sum, coat) => sum + coat.wetThickness, plan.basecoatCoats * plan.basecoatWet);
    const ratio = wet(demoPlan) / wet(hidingPlan);
    expect(ratio).toBeGreaterThan(1.5);
    expect(ratio).toBeLessThan(2.5);
  });
});

describe("invented pastes against measured artist acrylics", () => {
  // source: Okumura 2005, K and S of artist acrylics. K enters as printed, floors of the measurement (about 0.0005 to
  // 0.001) included: nothing is left out or cut off.
  // For titanium white K lies at that floor nearly everywhere, so its correlation rests on the rise below 440 nm.
  const measured = parseCsvTable(measuredCsv, "pigment_ks_okumura2005.csv");
  const nm = numberColumn(measured, "wavelength_nm");
  const counterparts: [string, string][] = [
    ["pw6", "Titanium White"],
    ["pbk7", "Carbon Black"],
    ["pr254", "Pyrrole Red"],
    ["pv19", "Quinacridone Magenta"],
    ["pr101", "Red Oxide"],
    ["py83", "Diarylide Yellow"],
    ["py42", "Yellow Ochre"],
    ["pb15-3", "Phthalo Blue (Green Shade)"],
    ["pg7", "Phthalo Green (Blue Shade)"],
    ["pv23", "Dioxazine Purple"],
  ];
  const inRange = (K: Float64Array, S: Float64Array, at: Float64Array): number[] =>
    [...at.keys()].filter((i) => at[i] >= 420 && at[i] <= 700).map((i) => Math.log(K[i] / S[i]));
  const measuredLog = (name: string) =>
    inRange(numberColumn(measured, `${name} K`), numberColumn(measured, `${name} S`), nm);
  const inventedLog = (id: string) => {
    const { absorption, scattering } = rack.find((component) => component.id === id) as Component;
    return inRange(absorption, scattering, wavelengths(workingGrid));
  };

  test.each(counterparts.filter(([id]) => id !== "pbk7"))("%s: log(K/S) correlates with %s", (id, name) => {
    expect(correlation(inventedLog(id), measuredLog(name))).toBeGreaterThanOrEqual(0.9);
  });

  test("pbk7: as flat as carbon black, and correlated with its 30 nm running mean", () => {
    const printed = measuredLog("Carbon Black");
    const spread = (values: number[]) => Math.exp(Math.max(...values) - Math.min(...values));
    expect(spread(printed)).toBeLessThan(1.07);
    expect(spread(inventedLog("pbk7"))).toBeLessThan(1.07);
    expect(correlation(runningMean(inventedLog("pbk7"), 3), runningMean(printed, 3))).toBeGreaterThanOrEqual(
      0.9,
    );
  });

  test("carbon black point by point is beyond any smooth curve, which is why its running mean is used", () => {
    // K/S of carbon black is the same within 7 % from 420 to 700 nm, and much of that is scatter between neighbours.
    // Even the best polynomial of degree 6, fitted to the values themselves, correlates by less than 0.9 with them.
    const printed = measuredLog("Carbon Black");
    expect(correlation(bestPolynomial(printed, 6), printed)).toBeLessThan(0.9);
  });
});

function correlation(a: number[], b: number[]): number {
  const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [ma, mb] = [mean(a), mean(b)];
  const product = (f: (i: number) => number) => a.reduce((sum, _, i) => sum + f(i), 0);
  return (
    product((i) => (a[i] - ma) * (b[i] - mb)) /
    Math.sqrt(product((i) => (a[i] - ma) ** 2) * product((i) => (b[i] - mb) ** 2))
  );
}

function runningMean(values: number[], width: number): number[] {
  return Array.from({ length: values.length - width + 1 }, (_, i) => {
    return values.slice(i, i + width).reduce((sum, value) => sum + value, 0) / width;
  });
}

/** Least-squares polynomial through equally spaced values, by projection on orthonormal polynomials. */
function bestPolynomial(values: number[], degree: number): number[] {
  const dot = (a: number[], b: number[]) => a.reduce((sum, value, i) => sum + value * b[i], 0);
  const basis: number[][] = [];
  for (let n = 0; n <= degree; n++) {
    let p = values.map((_, i) => ((2 * i) / (values.length - 1) - 1) ** n);
    // twice, so that rounding leaves no trace of the lower ones
    for (const q of [...basis, ...basis]) {
      const share = dot(p, q);
      p = p.map((value, i) => value - share * q[i]);
    }
    const norm = Math.sqrt(dot(p, p));
    basis.push(p.map((value) => value / norm));
  }
  return values.map((_, i) => basis.reduce((sum, q) => sum + dot(values, q) * q[i], 0));
}
