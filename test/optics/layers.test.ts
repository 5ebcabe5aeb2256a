import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { filmLayer, filmReflectanceInto } from "../../src/optics/film.ts";
import { composeInto, createLayer, type Layer, overGroundInto } from "./layers.ts";

const seed = 19540330;

/** One film at one wavelength, as a layer. */
function layerOf(K: number, S: number, X: number): Layer {
  const layer = createLayer(1);
  filmLayer([K], [S], X, layer.front, layer.transmittance);
  layer.back.set(layer.front);
  return layer;
}

function composed(top: Layer, below: Layer): Layer {
  const out = createLayer(top.front.length);
  composeInto(top, below, out);
  return out;
}

function overGround(layer: Layer, Rg: number): number {
  const out = new Float64Array(1);
  overGroundInto(layer, [Rg], out);
  return out[0];
}

const close = (value: number, expected: number) => expect(Math.abs(value - expected)).toBeLessThan(1e-6);

describe("composition of layers", () => {
  // source: Kubelka 1954 (Part II, nonhomogeneous layers), composition law; tolerance 1e-6: printed digits
  test("one material laid in two parts equals one film", () => {
    const both = composed(layerOf(2, 0.7, 0.3), layerOf(2, 0.7, 0.5));
    const one = layerOf(2, 0.7, 0.8);
    close(both.front[0], 0.129886);
    close(both.transmittance[0], 0.122038);
    expect(Math.abs(both.front[0] - one.front[0])).toBeLessThan(1e-12);
    expect(Math.abs(both.back[0] - one.back[0])).toBeLessThan(1e-12);
    expect(Math.abs(both.transmittance[0] - one.transmittance[0])).toBeLessThan(1e-12);
  });

  test("two different layers: the side does not matter to transmittance, but to reflectance", () => {
    const A = layerOf(0.6, 0.2, 1);
    const B = layerOf(0.1, 2, 1);
    close(A.front[0], 0.10038);
    close(A.transmittance[0], 0.455013);
    close(B.front[0], 0.618607);
    close(B.transmittance[0], 0.289137);
    const AonB = composed(A, B);
    const BonA = composed(B, A);
    close(AonB.front[0], 0.236934);
    close(AonB.back[0], 0.627554);
    close(AonB.transmittance[0], 0.140271);
    close(BonA.front[0], 0.627554);
    close(BonA.back[0], 0.236934);
    close(BonA.transmittance[0], 0.140271);
    close(overGround(AonB, 0.8), 0.268545);
    close(overGround(BonA, 0.8), 0.646976);
  });

  test("the reflectance from behind is the one that counts for light caught in between", () => {
    // identity: A on B on the ground, composed from the ground upward by films alone
    const AonB = composed(layerOf(0.6, 0.2, 1), layerOf(0.1, 2, 1));
    const R = Float64Array.of(0.8);
    filmReflectanceInto([0.1], [2], 1, R, R);
    filmReflectanceInto([0.6], [0.2], 1, R, R);
    expect(overGround(AonB, 0.8)).toBeCloseTo(R[0], 14);
    // and a three-layer stack whose upper part has two unlike sides
    const stack = composed(AonB, layerOf(0.3, 0.9, 0.7));
    const S = Float64Array.of(0.8);
    filmReflectanceInto([0.3], [0.9], 0.7, S, S);
    filmReflectanceInto([0.1], [2], 1, S, S);
    filmReflectanceInto([0.6], [0.2], 1, S, S);
    expect(overGround(stack, 0.8)).toBeCloseTo(S[0], 14);
  });

  const layer = fc
    .tuple(
      fc.double({ min: 0, max: 3, noNaN: true }),
      fc.double({ min: 0, max: 3, noNaN: true }),
      fc.double({ min: 0, max: 3, noNaN: true }),
    )
    .map(([K, S, X]) => layerOf(K, S, X));

  test("stacking is associative and conserves energy", () => {
    // identity: (A on B) on C = A on (B on C); R + T ≤ 1 from either side
    fc.assert(
      fc.property(layer, layer, layer, (A, B, C) => {
        const left = composed(composed(A, B), C);
        const right = composed(A, composed(B, C));
        for (const side of ["front", "back", "transmittance"] as const) {
          expect(Math.abs(left[side][0] - right[side][0])).toBeLessThan(1e-13);
        }
        expect(left.front[0] + left.transmittance[0]).toBeLessThan(1 + 1e-13);
        expect(left.back[0] + left.transmittance[0]).toBeLessThan(1 + 1e-13);
      }),
      { seed },
    );
  });

  test("a stack over a ground equals its films laid one by one", () => {
    // identity
    const film = fc.tuple(
      fc.double({ min: 0, max: 3, noNaN: true }),
      fc.double({ min: 0, max: 3, noNaN: true }),
      fc.double({ min: 0, max: 3, noNaN: true }),
    );
    fc.assert(
      fc.property(
        fc.array(film, { minLength: 1, maxLength: 5 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (films, Rg) => {
          const stack = createLayer(1);
          for (const [K, S, X] of films) composeInto(stack, layerOf(K, S, X), stack);
          const R = Float64Array.of(Rg);
          for (const [K, S, X] of films.toReversed()) filmReflectanceInto([K], [S], X, R, R);
          expect(Math.abs(overGround(stack, Rg) - R[0])).toBeLessThan(1e-12);
        },
      ),
      { seed },
    );
  });

  test("an empty layer changes nothing, and two perfect mirrors let nothing through", () => {
    const A = layerOf(0.6, 0.2, 1);
    for (const both of [composed(createLayer(1), A), composed(A, createLayer(1))]) {
      expect(both.front[0]).toBe(A.front[0]); // identity
      expect(both.transmittance[0]).toBe(A.transmittance[0]);
    }
    const mirror: Layer = {
      front: Float64Array.of(1),
      back: Float64Array.of(1),
      transmittance: new Float64Array(1),
    };
    const both = composed(mirror, mirror); // identity: 0/0 must become 0
    expect([both.front[0], both.back[0], both.transmittance[0]]).toEqual([1, 1, 0]);
    expect(overGround(mirror, 1)).toBe(1);
  });

  test("lengths that differ are refused", () => {
    expect(() => composeInto(createLayer(2), createLayer(3), createLayer(2))).toThrow(TypeError);
    expect(() => overGroundInto(createLayer(2), [0.1], new Float64Array(2))).toThrow(TypeError);
  });
});
