import { describe, expect, test } from "vitest";
import { seededRandom } from "../../../src/fit/seededRandom.ts";
import { filmReflectance } from "../../../src/optics/film.ts";
import { opticalFilm, StackSolver } from "../../../src/optics/transfer/stack.ts";
import { exactReflectances } from "./exactReflectances.ts";
import { fresnelSurface, secondOpinion } from "./secondOpinion.ts";

interface Medium {
  albedo: number;
  thickness: number;
  g: number;
}

/** Reflectance of layers over a Lambertian ground by following photons one by one. */
function photons(layers: Medium[], Rg: number, count: number, seed: number): { mean: number; error: number } {
  const random = seededRandom(seed);
  const bottom: number[] = [];
  let depth = 0;
  for (const { thickness } of layers) bottom.push((depth += thickness));
  let back = 0;
  for (let n = 0; n < count; n++) {
    // Diffuse light: cosine-weighted directions, downwards.
    let mu = Math.sqrt(1 - random());
    let at = 0;
    let layer = 0;
    for (;;) {
      // Optical depth runs through the layers, so a free path crosses their borders unchanged.
      at -= mu * Math.log(1 - random());
      const from = at;
      if (from < 0) {
        back++;
        break;
      }
      if (from >= depth) {
        if (random() >= Rg) break;
        at = depth;
        mu = -Math.sqrt(1 - random());
        // The next path starts at the ground.
        at += -mu * Math.log(1 - random());
        if (at < 0) {
          back++;
          break;
        }
      }
      layer = bottom.findIndex((edge) => at < edge);
      if (layer < 0) layer = layers.length - 1;
      const { albedo, g } = layers[layer];
      if (random() >= albedo) break;
      mu = scattered(mu, g, random);
    }
  }
  const mean = back / count;
  return { mean, error: Math.sqrt((mean * (1 - mean)) / count) };
}

/** New cosine to the normal after scattering by the Henyey-Greenstein function. */
function scattered(mu: number, g: number, random: () => number): number {
  const u = random();
  const c = g === 0 ? 2 * u - 1 : (1 + g * g - ((1 - g * g) / (1 - g + 2 * g * u)) ** 2) / (2 * g);
  const turn = 2 * Math.PI * random();
  const next = mu * c + Math.sqrt(Math.max(0, (1 - mu * mu) * (1 - c * c))) * Math.cos(turn);
  return Math.max(-1, Math.min(1, next));
}

describe("stacks", () => {
  test.each([
    ["one isotropic layer", [{ albedo: 0.7, thickness: 1.2, g: 0 }], 0.6],
    [
      "absorbing colour over a light ground coat",
      [
        { albedo: 0.4, thickness: 0.8, g: 0 },
        { albedo: 0.99, thickness: 6, g: 0 },
      ],
      0.05,
    ],
    [
      "forward scattering over isotropic over backward scattering",
      [
        { albedo: 0.9, thickness: 1.5, g: 0.8 },
        { albedo: 0.8, thickness: 0.7, g: 0 },
        { albedo: 0.95, thickness: 2, g: -0.4 },
      ],
      0.3,
    ],
  ] as [string, Medium[], number][])("photons followed one by one agree: %s", (_, layers, Rg) => {
    // independent method: Monte Carlo, seed 5; 3.5 standard errors
    const { mean, error } = photons(layers, Rg, 150_000, 5);
    const solver = new StackSolver(16);
    const R = solver.over(
      layers.map(({ albedo, thickness, g }) => solver.slab({ albedo, thickness }, g)),
      Rg,
    );
    expect(Math.abs(R - mean)).toBeLessThan(3.5 * error);
  });

  test("true coefficients of a film", () => {
    // source: Mudgett, Richards 1971: K = 2k, S = ¾s(1 − g)
    const { albedo, thickness } = opticalFilm(2 * 0.03, 0.75 * 0.07 * (1 - 0.4), 20, 0.4);
    expect(albedo).toBeCloseTo(0.7, 14);
    expect(thickness).toBeCloseTo(0.1 * 20, 14);
    expect(opticalFilm(0, 0, 20)).toEqual({ albedo: 0, thickness: 0 });
  });

  const length = 36;
  const curve = (of: (t: number) => number) => Float64Array.from({ length }, (_, i) => of(i / (length - 1)));
  const colour = {
    absorption: curve((t) => 0.3 * (1 - t) ** 3 + 0.0005),
    scattering: curve((t) => 0.02 - 0.01 * t),
    dryThickness: 25,
  };
  const base = {
    absorption: curve((t) => 0.004 * (1 - t) + 0.001),
    scattering: curve(() => 0.35),
    dryThickness: 20,
  };
  const grounds = [curve(() => 0.01), curve((t) => 0.1 + 0.4 * t), curve(() => 0.8)];

  test("a whole stack on the working grid, well under a second, and near its limit", () => {
    const start = performance.now();
    const { exact, twoFlux } = secondOpinion({ layers: [colour, base], grounds });
    expect(performance.now() - start).toBeLessThan(500);
    const fine = exactReflectances([colour, base], grounds, 32);
    exact.forEach((spectrum, p) => {
      spectrum.forEach((R, i) => {
        expect(Math.abs(R - fine[p][i])).toBeLessThan(1e-5); // 8 streams against 32
        expect(R).toBeGreaterThan(0);
        expect(R).toBeLessThan(1);
      });
    });
    // identity: two-flux films folded from the ground upward
    const below = filmReflectance(base.absorption[7], base.scattering[7], base.dryThickness, grounds[1][7]);
    const R = filmReflectance(colour.absorption[7], colour.scattering[7], colour.dryThickness, below);
    expect(twoFlux[1][7]).toBeCloseTo(R, 14);
  });

  test("no layers show the ground", () => {
    const { exact, twoFlux } = secondOpinion({ layers: [], grounds });
    expect(exact).toEqual(grounds);
    expect(twoFlux).toEqual(grounds);
    expect(exactReflectances([colour], [])).toEqual([]);
  });

  test("surface of a film by Fresnel's equations", () => {
    // source: Judd 1942 and closed form of Walsh: n = 1.5: normal 0.040000, internal diffuse 0.596346
    const { externalReflection, internalReflection } = fresnelSurface(1.5);
    expect(externalReflection).toBeCloseTo(0.04, 12);
    expect(Math.abs(internalReflection - 0.596346)).toBeLessThan(1e-6);
  });

  test("what cannot be is refused by name", () => {
    const wrong = (change: object) => () => exactReflectances([{ ...colour, ...change }], grounds);
    expect(wrong({ absorption: [1] })).toThrow(/absorption of layer 1 has 1 values, but 36/);
    expect(wrong({ dryThickness: -1 })).toThrow(/dry thickness of layer 1/);
    expect(wrong({ anisotropy: 2 })).toThrow(/anisotropy of layer 1/);
    expect(() => exactReflectances([colour], [curve(() => 1.5)])).toThrow(/ground reflectance\[0\]/);
  });
});
