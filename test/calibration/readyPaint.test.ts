import { describe, expect, test } from "vitest";
import { readyPaint } from "../../src/calibration/readyPaint.ts";
import { Eye } from "../../src/coating/eye.ts";
import { mixFilmInto, mixOf } from "../../src/coating/mix.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectanceInto, reflectivityInto } from "../../src/optics/film.ts";
import { usualSurface } from "../../src/optics/interface.ts";
import { lanternRoom } from "../../src/tables/lanternRoom.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { cases, thorough } from "../howMuch.ts";
import { measuredPaints } from "../recipes/measuredPaints.ts";

const grid = wavelengths(workingGrid);
const eye = new Eye({ weights: weightsFor("1964-10", "D65"), surface: usualSurface, sheen: 0 });

interface Paint {
  readonly name: string;
  readonly absorption: Float64Array;
  readonly scattering: Float64Array;
}

const among = (random: () => number, from: number, to: number) => from + (to - from) * random();
const pick = <T>(random: () => number, list: readonly T[]): T => list[Math.floor(random() * list.length)];

/** A base paint tinted with a little paste, or what is left of an earlier job: pastes in binder, some with white. */
function fromThePastes(random: () => number): Paint {
  const { pastes, binder, basePaints } = lanternRoom;
  const colours = Array.from({ length: 1 + Math.floor(random() * 3) }, () => pick(random, pastes));
  const tinted = random() < 0.5;
  const components = [tinted ? pick(random, basePaints) : binder, ...colours];
  const volumes = [100, ...colours.map(() => (tinted ? among(random, 0.2, 5) : among(random, 1, 12)))];
  const mix = mixOf(components, volumes);
  const film = { absorption: new Float64Array(grid.length), scattering: new Float64Array(grid.length) };
  mixFilmInto(components, mix.dryFractions, film.absorption, film.scattering);
  return { name: `${components.map((c) => c.id).join("+")} ${volumes.map((v) => v.toFixed(1))}`, ...film };
}

/**
 * A paint of measured K and S. The data are relative to the white's scattering; a dry paint film of titanium white is taken
 * to scatter 0.15 to 0.6 per µm (from memory), and the paints are let down with clear medium as ready paints are.
 */
function fromMeasured(random: () => number): Paint {
  const white = measuredPaints[0];
  const colours = Array.from({ length: 1 + Math.floor(random() * 2) }, () => pick(random, measuredPaints));
  const whiteShare = random() < 0.6 ? among(random, 0.05, 1) : 0;
  const shares = [whiteShare, ...colours.map(() => among(random, 0.03, 0.5))];
  const scale = among(random, 0.15, 0.6) * among(random, 0.3, 1);
  const total = shares.reduce((a, b) => a + b, 0);
  const sum = (of: "absorption" | "scattering") =>
    Float64Array.from(grid, (_, i) =>
      [white, ...colours].reduce((whole, paint, k) => whole + (shares[k] / total) * scale * paint[of][i], 0),
    );
  return {
    name: `${["white", ...colours.map((c) => c.id)].join("+")} ${shares.map((s) => s.toFixed(2))} × ${scale.toFixed(2)}`,
    absorption: sum("absorption"),
    scattering: sum("scattering"),
  };
}

function labOf(
  paint: Pick<Paint, "absorption" | "scattering">,
  thickness: number,
  ground: number,
): Float64Array {
  const internal = new Float64Array(grid.length);
  const under = new Float64Array(grid.length).fill(ground);
  filmReflectanceInto(paint.absorption, paint.scattering, thickness, under, internal);
  const Lab = new Float64Array(3);
  eye.labOfInternal(internal, Lab);
  return Lab;
}

interface Tried {
  readonly inside: number;
  readonly of: number;
  readonly widths: number[];
}

/** How often a second film of known thickness has the colour that was promised, within the band of nine of ten. */
function tried(paints: readonly Paint[], random: () => number, withFilm: boolean): Tried {
  let inside = 0;
  let of = 0;
  const widths: number[] = [];
  const noise = 0.002;
  paints.forEach((paint, n) => {
    const read = (values: Float64Array) => values.map((R) => Math.max(0, R + noise * normal(random)));
    const hiding = new Float64Array(grid.length);
    reflectivityInto(paint.absorption, paint.scattering, hiding);
    const known = among(random, 10, 30);
    const laid = known * (1 + 0.1 * normal(random));
    const over = (Rg: number) => {
      const out = new Float64Array(grid.length);
      const under = new Float64Array(grid.length).fill(Rg);
      filmReflectanceInto(paint.absorption, paint.scattering, laid, under, out);
      return read(out);
    };
    const black = new Float64Array(grid.length).fill(0.01);
    const white = new Float64Array(grid.length).fill(0.85);
    const found = readyPaint(
      {
        hiding: read(hiding),
        noise,
        film: withFilm
          ? {
              overBlack: over(0.01),
              overWhite: over(0.85),
              black,
              white,
              noise,
              thickness: known,
              thicknessDoubt: 0.1,
            }
          : undefined,
      },
      200,
      n,
    );
    const thickness = among(random, 10, 40);
    for (const ground of [0.01, 0.2]) {
      const promised = labOf(found, thickness, ground);
      const spread = found.draws.map((draw) => deltaE2000(promised, labOf(draw, thickness, ground)));
      spread.sort((a, b) => a - b);
      const band = spread[Math.floor(0.9 * spread.length)];
      const miss = deltaE2000(promised, labOf(paint, thickness, ground));
      of++;
      widths.push(band);
      if (miss <= band) inside++;
    }
  });
  widths.sort((a, b) => a - b);
  return { inside, of, widths };
}

const howMany = cases(200);

describe("a ready paint", () => {
  const random = seededRandom(7);
  const paints = Array.from({ length: howMany }, (_, i) => (i % 2 ? fromThePastes : fromMeasured)(random));
  const alone = tried(paints, seededRandom(3), false);
  const drawnDown = tried(paints, seededRandom(3), true);
  const middleOf = ({ widths }: Tried) => widths[widths.length >> 1];

  // identity: a band of nine of ten holds nine of ten; the paints are none of the prior's own making
  test.each([
    ["from a hiding film alone", alone],
    ["from a film over black and white too", drawnDown],
  ])("a second film has the promised colour in nine of ten, %s", (name, { inside, of, widths }) => {
    console.log(
      `${name}: ${((100 * inside) / of).toFixed(1)} % of ${of} inside; band ΔE00 ${widths[widths.length >> 1].toFixed(1)} in the middle, ${widths[Math.floor(0.9 * widths.length)].toFixed(1)} for nine of ten`,
    );
    expect(inside / of).toBeGreaterThanOrEqual(0.85);
    // Fewer paints scatter more: two standard errors of a share of 0.95.
    expect(inside / of).toBeLessThanOrEqual(thorough ? 0.95 : 0.95 + 2 * Math.sqrt((0.95 * 0.05) / of));
  });

  test("a film over black and white narrows the doubt", () => {
    expect(middleOf(drawnDown)).toBeLessThan(0.3 * middleOf(alone));
  });

  test("keeps the hiding colour that was read", () => {
    // identity: K/S is settled by the reading, whatever S is
    const paint = paints[0];
    const hiding = new Float64Array(grid.length);
    reflectivityInto(paint.absorption, paint.scattering, hiding);
    const found = readyPaint({ hiding, noise: 1e-6 }, 4);
    const again = new Float64Array(grid.length);
    for (const { absorption, scattering } of [found, ...found.draws]) {
      reflectivityInto(absorption, scattering, again);
      for (let i = 0; i < grid.length; i++) expect(again[i]).toBeCloseTo(hiding[i], 4);
    }
  });

  test("the same seed gives the same draws", () => {
    const hiding = new Float64Array(grid.length).fill(0.3);
    const [a, b, c] = [1, 1, 2].map((seed) => readyPaint({ hiding, noise: 0.002 }, 2, seed).draws[1]);
    expect(a).toEqual(b);
    expect(a).not.toEqual(c);
  });

  test("refuses a reading that is none", () => {
    const hiding = new Float64Array(grid.length).fill(0.3);
    expect(() => readyPaint({ hiding: hiding.subarray(1), noise: 0.002 })).toThrow(/hiding reflectance/);
    expect(() => readyPaint({ hiding, noise: 0 })).toThrow(/noise/);
  });
});
