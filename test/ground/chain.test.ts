import { describe, expect, test } from "vitest";
import { blendOf, blendShares } from "../../src/coating/blend.ts";
import { Eye } from "../../src/coating/eye.ts";
import { buildUp, groundReflectance } from "../../src/coating/paintedPart.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { type GroundPoint, plannedPoint, wetOfCoats } from "../../src/ground/job.ts";
import { Look } from "../../src/ground/look.ts";
import { groundCurve, groundTriangle, ratioOfShares } from "../../src/ground/map.ts";
import { createFractions } from "../../src/ground/wetFilm.ts";
import { coatsThatDo, groundMap, type MapAxis } from "./groundMap.ts";
import { cream, eye, grey, job, parts, white, wineJob } from "./lanternJob.ts";
import { plainChain } from "./plainChain.ts";

const three = { ...job, paints: [grey, cream, white] };
const matt = { ...job, eye: { ...eye, sheen: 0.7 } };
const evenly = (points: number, from = 0, to = 1): Float64Array =>
  Float64Array.from({ length: points }, (_, k) => from + ((to - from) * k) / (points - 1));

describe("GroundChain", () => {
  test("is the plain chain at points all over", () => {
    // independent method: printed formulas of Kubelka 1948 and ISO/CIE 11664-6 through a colour library, seed
    // 1; 1e-6: the plain film's coth where it is thin, and the library's own arrangement of ΔE00
    const random = seededRandom(1);
    for (const one of [job, wineJob, three, matt]) {
      const chain = new GroundChain(one);
      for (let trial = 0; trial < 25; trial++) {
        const point: GroundPoint = {
          ratio: random(),
          thirdShare: random() * 0.9,
          coats: 1 + Math.floor(8 * random()),
          loading: random() < 0.5 ? undefined : 0.02 + 0.5 * random(),
          colourBuild: 0.2 + 1.5 * random(),
          basecoatBuild: 0.2 + 1.5 * random(),
        };
        const worst = chain.at(point);
        const plain = plainChain(one, point);
        plain.forEach((d, p) => {
          expect(Math.abs(d - chain.differences[p])).toBeLessThan(1e-6);
        });
        expect(Math.abs(worst - Math.max(...plain))).toBeLessThan(1e-6);
        expect(chain.differences[chain.worstPart]).toBe(worst);
      }
    }
  });

  test("agrees with the build-up of the coverage of a part, in colour too", () => {
    // identity: the same films by other functions; 1e-9: rounding
    const chain = new GroundChain(job);
    const blend = blendOf(job.paints, blendShares(0.4, 0, 2));
    const red = blendOf(job.recipe.components, job.recipe.volumes);
    const seer = new Eye(eye);
    for (let coats = 0; coats <= 6; coats++) {
      chain.at({ ...plannedPoint(job, 0.4), coats });
      parts.forEach((part, p) => {
        const ground = groundReflectance(part, {
          ...blend,
          dryThickness: job.basecoatWet * blend.mix.volumeSolids,
        });
        const dry = Array.from(
          { length: coats },
          (_, c) => job.coatWets[Math.min(c, 3)] * red.mix.volumeSolids,
        );
        const step = buildUp(ground, red, dry, seer)[coats];
        for (let c = 0; c < 3; c++) {
          expect(Math.abs(step.Lab[c] - chain.labs[3 * p + c])).toBeLessThan(1e-9);
          expect(Math.abs(step.XYZ[c] - chain.XYZs[3 * p + c])).toBeLessThan(1e-9);
        }
      });
    }
  });

  test("no coats show the ground, no build shows the part", () => {
    const chain = new GroundChain(job);
    const seer = new Eye(eye);
    chain.at({ ...plannedPoint(job, 0.5), colourBuild: 0, basecoatBuild: 0 });
    parts.forEach((part, p) => {
      // identity: films of no thickness; 1e-10: rounding
      const { Lab } = seer.see(part);
      for (let c = 0; c < 3; c++) expect(Math.abs(Lab[c] - chain.labs[3 * p + c])).toBeLessThan(1e-10);
      expect(Math.abs(chain.differences[p] - deltaE2000(job.target, Lab))).toBeLessThan(1e-10);
    });
  });

  test("what was asked before does not show in what is asked now", () => {
    const chain = new GroundChain(job);
    const point = plannedPoint(job, 0.3);
    const before = chain.at(point);
    const film = chain.createColour();
    chain.colourInto({ ...point, loading: 0.02 }, film);
    chain.at({ ...point, loading: 0.5, coats: 2, ratio: 0.9 });
    chain.colourInto({ ...point, loading: 0.1 }, film);
    expect(chain.at(point)).toBe(before);
  });

  test("a basecoat on a part is as good as a part of the basecoat's colour", () => {
    const chain = new GroundChain(job);
    const [base, colour, bare] = createFractions(3, 36);
    chain.baseInto(plannedPoint(job, 0.6), base);
    chain.colourInto(plannedPoint(job, 0.6), [colour]);
    bare.q.fill(1);
    const look = new Look(eye);
    const painted = parts[1].map((R, i) => (base.r[i] + base.q[i] * R) / (1 - base.r[i] * R));
    const over = look.through(colour, bare, painted).slice();
    const through = look.through(colour, base, parts[1]);
    for (let c = 0; c < 3; c++) expect(through[c]).toBeCloseTo(over[c], 11); // identity: a film of nothing
  });

  test("broken coats take part of the next", () => {
    expect(wetOfCoats([15, 15, 30], 0)).toBe(0);
    expect(wetOfCoats([15, 15, 30], 2.5)).toBe(45);
    expect(wetOfCoats([15, 15, 30], 5)).toBe(120); // the last one repeats
  });

  test("a job that cannot be computed is refused by name", () => {
    const wrong = (change: object) => () => new GroundChain({ ...job, ...change });
    expect(wrong({ paints: [] })).toThrow(/base paints = 0/);
    expect(wrong({ substrates: [] })).toThrow(/no part/);
    expect(wrong({ coatWets: [] })).toThrow(/no colour coat/);
    expect(wrong({ basecoatWet: -1 })).toThrow(/wet thickness of the basecoat/);
    expect(wrong({ target: [1, 2] })).toThrow(/target Lab/);
    expect(wrong({ recipe: { ...job.recipe, volumes: [0, 0, 0, 0] } })).toThrow(/all 0 mL/);
    const chain = new GroundChain({
      ...job,
      recipe: { components: [job.recipe.components[0]], volumes: [1] },
    });
    expect(() => chain.at({ ...plannedPoint(job, 0.5), loading: 0.2 })).toThrow(/no binder/);
  });
});

describe("maps", () => {
  const x: MapAxis = { setting: "ratio", values: evenly(9) };
  test.each([
    ["coats", { setting: "coats", values: [1, 2, 3, 4, 6, 8] }],
    ["loading", { setting: "loading", values: evenly(5, 0.05, 0.4) }],
    ["film build", { setting: "build", values: evenly(5, 0.5, 1.5) }],
    ["basecoat build", { setting: "basecoatBuild", values: evenly(5, 0, 1.5) }],
    ["third share", { setting: "thirdShare", values: evenly(4) }],
  ] as [string, MapAxis][])("ratio against %s is the chain point by point", (_, y) => {
    const fixed = plannedPoint(three, 0, 0.2);
    const map = groundMap(three, x, y, fixed);
    const chain = new GroundChain(three);
    for (let j = 0; j < y.values.length; j++) {
      for (let i = 0; i < x.values.length; i++) {
        const value = y.values[j];
        const moved =
          y.setting === "build" ? { colourBuild: value, basecoatBuild: value } : { [y.setting]: value };
        const at = j * x.values.length + i;
        // identity: the same films put together in another order; 1e-12: rounding
        expect(Math.abs(map.worst[at] - chain.at({ ...fixed, ratio: x.values[i], ...moved }))).toBeLessThan(
          1e-12,
        );
        expect(map.worstPart[at]).toBe(chain.worstPart);
        for (let c = 0; c < 3; c++) {
          expect(map.labs[3 * at + c]).toBeCloseTo(chain.labs[3 * chain.worstPart + c], 10);
          expect(map.XYZs[3 * at + c]).toBeCloseTo(chain.XYZs[3 * chain.worstPart + c], 10);
        }
      }
    }
    expect(map.worst[map.best]).toBe(Math.min(...map.worst));
  });

  test("neither axis needs to be the ratio", () => {
    const coats: MapAxis = { setting: "coats", values: [2, 4] };
    const loading: MapAxis = { setting: "loading", values: [0.1, 0.2] };
    const map = groundMap(job, coats, loading, plannedPoint(job, 0.55));
    const chain = new GroundChain(job);
    expect(map.worst[2 + 1]).toBeCloseTo(
      chain.at({ ...plannedPoint(job, 0.55), coats: 4, loading: 0.2 }),
      12,
    );
  });

  test("a curve is a row of the map", () => {
    const fixed = plannedPoint(job, 0);
    const map = groundMap(job, x, { setting: "coats", values: [4] }, fixed);
    groundCurve(job, { setting: "ratio", values: x.values }, fixed).worst.forEach((d, k) => {
      expect(d).toBeCloseTo(map.worst[k], 12);
    });
  });

  test("coats that do, from the fewest to the most", () => {
    const coats: MapAxis = { setting: "coats", values: [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10] };
    const map = groundMap(job, x, coats, plannedPoint(job, 0));
    const { fewest, most } = coatsThatDo(map, 1);
    for (let i = 0; i < 9; i++) {
      const does = Array.from(coats.values, (_, j) => map.worst[j * 9 + i] <= 1);
      if (Number.isNaN(fewest[i])) {
        expect(does).not.toContain(true);
        expect(most[i]).toBeNaN();
        continue;
      }
      expect(fewest[i]).toBe(does.indexOf(true));
      for (let n = fewest[i]; n <= most[i]; n++) expect(does[n]).toBe(true);
      expect(does[most[i] + 1] ?? false).toBe(false);
    }
    // common practice: a red takes about four coats, and a translucent one goes on past its target
    expect(Math.min(...fewest.filter((n) => n >= 0))).toBe(4);
    expect(Math.max(...most.filter((n) => n >= 0))).toBeLessThan(10);
    expect(() => coatsThatDo(groundMap(job, coats, x, plannedPoint(job, 0)), 1)).toThrow(
      /second axis is ratio/,
    );
  });

  test("axes that make no sense are refused", () => {
    const fixed = plannedPoint(job, 0);
    expect(() => groundMap(job, x, x, fixed)).toThrow(/both axes move ratio/);
    expect(() => groundMap(job, x, { setting: "coats", values: [3, 2] }, fixed)).toThrow(/coats\[1\]/);
    expect(() => groundMap(job, x, { setting: "coats", values: [] }, fixed)).toThrow(/no values/);
  });
});

describe("triangle of three base paints", () => {
  const fixed = plannedPoint(three, 0);
  const triangle = groundTriangle(three, 12, fixed);

  test("covers all blends once and is the chain at each", () => {
    expect(triangle.worst).toHaveLength((13 * 14) / 2);
    const seen = new Set<string>();
    const chain = new GroundChain(three);
    for (let k = 0; k < triangle.worst.length; k++) {
      const [a, b, c] = triangle.shares.subarray(3 * k, 3 * k + 3);
      expect(a + b + c).toBeCloseTo(1, 14);
      seen.add([a, b, c].map((share) => Math.round(12 * share)).join());
      const d = chain.at({ ...fixed, ...ratioOfShares(a, b, c) });
      expect(Math.abs(triangle.worst[k] - d)).toBeLessThan(1e-12); // identity
    }
    expect(seen.size).toBe(triangle.worst.length);
    expect(triangle.worst[triangle.best]).toBe(Math.min(...triangle.worst));
  });

  test("its edges are the blends of two", () => {
    for (let k = 0; k < triangle.worst.length; k++) {
      const [a, b, c] = triangle.shares.subarray(3 * k, 3 * k + 3);
      if (a > 0) continue;
      const two = new GroundChain({ ...job, paints: [cream, white] });
      expect(Math.abs(triangle.worst[k] - two.at(plannedPoint(job, c / (b + c))))).toBeLessThan(1e-9); // identity
    }
  });

  test("needs three paints", () => {
    expect(() => groundTriangle(job, 5, plannedPoint(job, 0))).toThrow(/three base paints/);
    expect(() => groundTriangle(three, 0, fixed)).toThrow(/steps = 0/);
  });
});
