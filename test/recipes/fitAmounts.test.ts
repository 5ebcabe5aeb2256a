import { EigenvalueDecomposition, Matrix, solve } from "ml-matrix";
import { describe, expect, test } from "vitest";
import type { Component } from "../../src/coating/component.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { recipeDepths } from "../../src/recipes/depths.ts";
import type { Finish } from "../../src/recipes/finish.ts";
import { type FitRequest, fitAmounts, prepareMatch } from "../../src/recipes/fitAmounts.ts";
import { ForwardModel } from "../../src/recipes/forward.ts";
import { coats, lights, opaque, pick, poppySeen, rack, sheen, surface } from "./lanternMatch.ts";
import { measuredPaints } from "./measuredPaints.ts";

const plain = { lights, surface, sheen } as const;

/** Seen reflectance of wet shares (binder excluded) over the first ground of a finish. */
function seenOf(components: readonly Component[], shares: ArrayLike<number>, finish: Finish): Float64Array {
  const binderIndex = components.length - 1;
  const depths = recipeDepths(components, binderIndex, finish);
  const forward = new ForwardModel({ depths, finish, surface, sheen, lights: [], targets: [] });
  const out = new Float64Array(depths.length);
  forward.seenInto(Float64Array.from(shares), 0, out);
  return out;
}

/**
 * Least colour change (CIELAB, all lights and grounds together) that a unit change of the recipe can make; where the loading
 * is held, of its proportions.
 */
function leastSlope(request: FitRequest, shares: Float64Array): number {
  const { forward, fullLoading } = prepareMatch(request);
  const n = shares.length;
  const rows = 3 * forward.grounds * lights.length;
  const labs = new Float64Array(rows);
  const slopes = new Float64Array(rows * n);
  forward.labSlopesInto(shares, labs, slopes);
  let J = new Matrix(Array.from({ length: rows }, (_, r) => [...slopes.subarray(r * n, (r + 1) * n)]));
  if (fullLoading) {
    // Orthonormal directions along which the sum stays: (1, −1, 0 …), (1, 1, −2, 0 …) … scaled.
    const along = Array.from({ length: n - 1 }, (_, c) =>
      Array.from(
        { length: n },
        (_, i) => (i <= c ? 1 : i === c + 1 ? -(c + 1) : 0) / Math.sqrt((c + 1) * (c + 2)),
      ),
    );
    J = J.mmul(new Matrix(along).transpose());
  }
  const { realEigenvalues } = new EigenvalueDecomposition(J.transpose().mmul(J), { assumeSymmetric: true });
  return Math.sqrt(Math.max(0, Math.min(...realEigenvalues)));
}

function choose(random: () => number, from: number, count: number): number[] {
  const chosen: number[] = [];
  while (chosen.length < count) {
    const i = Math.floor(random() * from);
    if (!chosen.includes(i)) chosen.push(i);
  }
  return chosen;
}

function proportions(random: () => number, count: number, total: number): Float64Array {
  const parts = Float64Array.from({ length: count }, () => 0.05 + random());
  const sum = parts.reduce((t, v) => t + v, 0);
  return parts.map((v) => (total * v) / sum);
}

/** Feeds recipes back as targets; returns how many were unique by their slopes. */
function roundTrip(
  cases: readonly {
    components: readonly Component[];
    shares: Float64Array;
    finish: Finish;
    maxLoading: number;
  }[],
): number {
  let unique = 0;
  for (const { components, shares, finish, maxLoading } of cases) {
    const seen = seenOf(components, shares, finish);
    const request: FitRequest = {
      components,
      binderIndex: components.length - 1,
      limits: { maxLoading },
      finish,
      target: { kind: "spectrum", seen },
      ...plain,
    };
    const { volumes, residual, differences, status } = fitAmounts(request);
    const recipe = components
      .map(({ name }, j) => `${name} ${(100 * (shares[j] ?? 0)).toFixed(2)}`)
      .join(", ");
    expect(status, recipe).toBe("converged");
    for (const row of differences)
      for (const difference of row) expect(difference, recipe).toBeLessThan(0.01);
    let off = 0;
    shares.forEach((share, i) => {
      off = Math.max(off, Math.abs(volumes[i] / 100 - share));
    });
    // Unique where a change of 1e-3 of the total would show as 0.01 or more: there the amounts must come back.
    if (leastSlope(request, shares) * 1e-3 > 0.01) {
      unique++;
      expect(off, recipe).toBeLessThan(1e-3);
    } else {
      // Elsewhere another recipe may do; it must be as good as the one fed in, whose difference is 0.
      expect(residual, recipe).toBeLessThan(1e-3);
    }
  }
  return unique;
}

describe("recipes fed back as targets are found again", () => {
  // source of the demand: any mixture of known amounts, fed back, returns those amounts (Walowit, McCarthy, Berns 1988;
  // consequence of the model)
  test("150 recipes of the invented rack in coats over one ground", () => {
    const random = seededRandom(2001);
    const cases = Array.from({ length: 150 }, (_, c) => {
      const size = 2 + (c % 3);
      return {
        components: pick(...choose(random, 13, size)),
        shares: proportions(random, size, 0.02 + 0.22 * random()),
        finish: { ...coats, grounds: coats.kind === "coats" ? [coats.grounds[c % 3]] : [] } as Finish,
        maxLoading: 0.25,
      };
    });
    expect(roundTrip(cases)).toBeGreaterThan(100);
  });

  test("50 recipes of the invented rack as opaque films", () => {
    const random = seededRandom(2002);
    const cases = Array.from({ length: 50 }, (_, c) => {
      const size = 2 + (c % 3);
      return {
        components: pick(...choose(random, 13, size)),
        // An opaque film in clear binder tells proportions only: the loading is a convention.
        shares: proportions(random, size, 0.25),
        finish: opaque,
        maxLoading: 0.25,
      };
    });
    expect(roundTrip(cases)).toBeGreaterThan(25);
  });

  test("100 mixtures of 2 to 4 measured paints as opaque films", () => {
    // source: K and S of Okumura 2005
    const random = seededRandom(2003);
    const cases = Array.from({ length: 100 }, (_, c) => {
      const size = 2 + (c % 3);
      const components = choose(random, measuredPaints.length, size).map((i) => measuredPaints[i]);
      return { components, shares: proportions(random, size, 1).subarray(1), finish: opaque, maxLoading: 1 };
    });
    expect(roundTrip(cases)).toBeGreaterThan(50);
  });
});

describe("fitAmounts", () => {
  const request: FitRequest = {
    components: pick(2, 7, 0),
    binderIndex: 3,
    limits: { maxLoading: 0.25 },
    finish: coats,
    target: { kind: "spectrum", seen: poppySeen },
    ...plain,
  };

  // White, magenta and yellow over one ground: three amounts that steer three coordinates without getting in each other's way.
  const steerable = pick(0, 4, 8);
  const oneGround: Finish = coats.kind === "coats" ? { ...coats, grounds: [coats.grounds[1]] } : coats;
  const oneLight: Omit<FitRequest, "target"> = {
    ...request,
    components: steerable,
    finish: oneGround,
    lights: lights.slice(0, 1),
  };

  test("amounts found again to 1e-4 from the tristimulus values in three lights", () => {
    // source: consequence of the model, where the match is unique (Walowit, McCarthy, Berns 1988: round trip of known
    // mixtures). In one light alone two recipes over a ground, one lean and one rich, can share a colour exactly.
    const random = seededRandom(5);
    for (let trial = 0; trial < 30; trial++) {
      const shares = Float64Array.from({ length: 3 }, () => 0.01 + 0.06 * random());
      const seen = seenOf(steerable, shares, oneGround);
      const { volumes, residual } = fitAmounts({ ...oneLight, lights, target: { kind: "spectrum", seen } });
      expect(residual).toBeLessThan(0.01);
      shares.forEach((share, i) => {
        expect(Math.abs(volumes[i] / 100 - share)).toBeLessThan(1e-4);
      });
    }
  });

  test("one step by the inverse of the slopes cuts a difference below 5 at least five-fold in nine cases of ten", () => {
    // source: Allen 1966, correction step Δc = J⁻¹Δt. The error of a linear step falls with the square of the change of the
    // doses; doses that are off by up to 20 % but make up for each other in colour gain less, hence nine cases of ten.
    const random = seededRandom(6);
    const gains: number[] = [];
    while (gains.length < 100) {
      const goal = Float64Array.from({ length: 3 }, () => 0.01 + 0.06 * random());
      const off = goal.map((v) => v * (0.8 + 0.4 * random()));
      const target = { kind: "spectrum", seen: seenOf(steerable, goal, oneGround) } as const;
      const { forward, targets } = prepareMatch({ ...oneLight, target });
      const Lab = new Float64Array(3);
      const slopes = new Float64Array(9);
      forward.labSlopesInto(off, Lab, slopes);
      const before = deltaE2000(targets[0], Lab);
      if (before >= 5) continue;
      const J = new Matrix([0, 1, 2].map((r) => [...slopes.subarray(3 * r, 3 * r + 3)]));
      const miss = Matrix.columnVector([...targets[0]].map((v, i) => v - Lab[i]));
      const step = solve(J, miss).to1DArray();
      const corrected = off.map((v, i) => v + step[i]);
      forward.labsInto(corrected, Lab);
      const gain = before / deltaE2000(targets[0], Lab);
      expect(gain).toBeGreaterThan(1);
      gains.push(gain);
    }
    gains.sort((p, q) => p - q);
    expect(gains[10]).toBeGreaterThan(5);
  });

  test("never worse than where it starts", () => {
    const random = seededRandom(7);
    for (let trial = 0; trial < 10; trial++) {
      const first = fitAmounts(request);
      const startVolumes = Float64Array.from(request.components, () => random());
      startVolumes[3] = 10;
      const again = fitAmounts({ ...request, startVolumes });
      expect(again.residual).toBeLessThanOrEqual(first.residual + 1e-9);
      const own = fitAmounts({ ...request, startVolumes: first.volumes });
      expect(own.residual).toBeLessThanOrEqual(first.residual);
    }
  });

  test("one more paste on the list never worsens the match", () => {
    // source: consequence of the model (its amount may stay at zero)
    let last = Number.POSITIVE_INFINITY;
    let start: Float64Array | undefined;
    for (const pastes of [[2], [2, 7], [2, 7, 0], [2, 7, 0, 6], [2, 7, 0, 6, 4], [2, 7, 0, 6, 4, 9, 11]]) {
      const startVolumes =
        start &&
        Float64Array.of(
          ...start.slice(0, -1),
          ...pastes.slice(start.length - 1).map(() => 0),
          start[start.length - 1],
        );
      const components = pick(...pastes);
      const fit = fitAmounts({ ...request, components, binderIndex: pastes.length, startVolumes });
      expect(fit.residual).toBeLessThanOrEqual(last + 1e-9);
      last = fit.residual;
      start = fit.volumes;
    }
  });

  test("a spectral fit uses every wavelength", () => {
    // source: consequence of the definition: no wavelength may be dropped
    const spectral = { ...request, spectralWeight: 1 };
    const free = fitAmounts(spectral);
    for (let k = 0; k < 36; k++) {
      const seen = poppySeen.slice();
      seen[k] += 0.2;
      const { forward, depths } = prepareMatch({ ...spectral, target: { kind: "spectrum", seen } });
      const x = Float64Array.from(depths.componentOf, (j) => free.volumes[j] / 100);
      const f = new Float64Array(forward.grounds);
      const { forward: own } = prepareMatch(spectral);
      const g = new Float64Array(own.grounds);
      expect(Math.abs(forward.value(x, f) - own.value(x, g)), `${380 + 10 * k} nm`).toBeGreaterThan(0.1);
    }
  });

  test("limits hold: loading, least and greatest amounts, little binder", () => {
    const { volumes } = fitAmounts({
      ...request,
      limits: { maxLoading: 0.12, min: [0, 1, 0.5, 0], max: [100, 1.5, 100, 100] },
    });
    expect(volumes[0] + volumes[1] + volumes[2]).toBeLessThan(12 + 1e-9);
    expect(volumes[1]).toBeGreaterThanOrEqual(1 - 1e-12);
    expect(volumes[1]).toBeLessThanOrEqual(1.5 + 1e-12);
    expect(volumes[2]).toBeGreaterThanOrEqual(0.5 - 1e-12);
    expect(volumes.reduce((t, v) => t + v, 0)).toBeCloseTo(100, 10); // identity: mL per 100 mL
    const rich = fitAmounts({ ...request, limits: { maxLoading: 0.5, max: [100, 100, 100, 60] } });
    expect(rich.volumes[3]).toBeLessThanOrEqual(60 + 1e-9);
  });

  test("contradictory limits are told, not thrown", () => {
    const many = fitAmounts({ ...request, limits: { maxLoading: 0.1, min: [6, 6, 0, 0] } });
    expect(many.status).toBe("infeasible");
    expect(many.notes.join()).toContain("add up to more than the greatest loading of 10 %");
    const crossed = fitAmounts({
      ...request,
      limits: { maxLoading: 0.25, min: [3, 0, 0, 0], max: [2, 9, 9, 100] },
    });
    expect(crossed.notes.join()).toContain(
      "Pyrrole red: its least amount (3 mL per 100 mL) is above its greatest (2)",
    );
  });

  test.each([
    ["no paste", { components: [rack[13]], binderIndex: 0 }, "no paste is selected"],
    ["no light", { lights: [] }, "no light is given"],
    ["no target", { target: undefined as never }, "the target is missing"],
    [
      "no ground",
      { finish: { kind: "coats", wetThickness: 90, grounds: [] } as Finish },
      "no ground is given",
    ],
    ["loading in per cent", { limits: { maxLoading: 25 } }, "greatest loading = 25: must be from 0 to 1"],
    [
      "short spectrum",
      { target: { kind: "spectrum", seen: new Float64Array(31) } as const },
      "31 values, but 36 are needed",
    ],
  ])("bad input: %s", (_, change, message) => {
    expect(() => fitAmounts({ ...request, ...change })).toThrow(message);
  });

  test("a Lab target is matched in the main light, with a note on the others", () => {
    const { notes, differences } = fitAmounts({ ...request, target: { kind: "lab", Lab: [40, 50, 30] } });
    expect(notes.join()).toContain("only the main light is matched");
    expect(differences[0]).toHaveLength(1);
  });

  test("the same request gives the same answer to the last bit", () => {
    expect(fitAmounts(request)).toEqual(fitAmounts(request));
  });
});
