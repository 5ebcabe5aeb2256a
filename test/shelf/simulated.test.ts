import { describe, expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { quantiles } from "../../src/fit/quantiles.ts";
import { calibrateShelf, usualShelfOptions } from "../../src/shelf/calibrateShelf.ts";
import { mixedUp } from "../../src/shelf/mixedUp.ts";
import { predictReading } from "../../src/shelf/shelfPrediction.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { thorough } from "../howMuch.ts";
import { type Simulation, simulateShelf } from "./simulateShelf.ts";

// identity: the truth of an invented shelf is known. Pastes, misfit and noise are drawn in a form of their own, not in that
// of the priors.

const weights = weightsFor("1964-10", "D65");
const options = { ...usualShelfOptions, keep: 32 };
const colourOf = (R: Float64Array) => reflectanceToLab(R, weights, new Float64Array(3));

/** How often bands hold, and how wide they are (middle of ln high/low of K and S), and errors of predictions. */
function tried(simulation: Simulation) {
  const { shelf, K, S, held } = simulateShelf(simulation);
  const { draws } = calibrateShelf(shelf, options);
  const points = shelf.wavelengths.length;
  const curves = K.length * points;
  const inside = { K: 0, S: 0, predictions: 0 };
  const widths: number[] = [];
  const sorted = new Float64Array(draws.count);
  const holds = (values: Float64Array, at: number, truth: number) => {
    for (let d = 0; d < draws.count; d++) sorted[d] = values[d * curves + at];
    sorted.sort();
    const [low, high] = quantiles(sorted, [0.05, 0.95]);
    widths.push(Math.log(high / low));
    return truth >= low && truth <= high ? 1 : 0;
  };
  for (let c = 0; c < K.length; c++) {
    for (let i = 0; i < points; i++) {
      inside.K += holds(draws.absorption, c * points + i, K[c][i]);
      inside.S += holds(draws.scattering, c * points + i, S[c][i]);
    }
  }
  const differences = held.map(({ reading, reflectance }) => {
    const { Lab, band90 } = predictReading(
      draws,
      reading,
      shelf.readings.length,
      shelf.wavelengths,
      weights,
      1,
    );
    const difference = deltaE2000(Lab, colourOf(reflectance));
    if (difference <= band90) inside.predictions++;
    return { difference, lighter: Lab[0] - colourOf(reflectance)[0] };
  });
  return { inside, curves, widths: Float64Array.from(widths).sort(), differences };
}

describe("simulated shelves of 8 pastes", () => {
  // Fewer shelves would ask for wider limits than are stated: all of them, or none.
  test.skipIf(!thorough)(
    "nine-of-ten bands of K, S and 420 predicted panels hold in 85 to 95 of a hundred",
    () => {
      const all = [1, 2, 3, 4, 5, 6].map((seed) => tried({ pastes: 8, films: 40, predicted: 70, seed }));
      const curves = all.reduce((sum, one) => sum + one.curves, 0);
      const held = (of: "K" | "S" | "predictions") => all.reduce((sum, { inside }) => sum + inside[of], 0);
      const shares = {
        coefficients: (held("K") + held("S")) / (2 * curves),
        predictions: held("predictions") / 420,
      };
      expect(shares.coefficients).toBeGreaterThanOrEqual(0.85);
      expect(shares.coefficients).toBeLessThanOrEqual(0.95);
      expect(shares.predictions).toBeGreaterThanOrEqual(0.85);
      expect(shares.predictions).toBeLessThanOrEqual(0.95);
    },
  );

  test.skipIf(!thorough)("readings in Lab narrow the bands without bias", () => {
    const before = tried({ pastes: 8, films: 20, predicted: 60, seed: 11, asLab: { from: 20, weights } });
    const after = tried({ pastes: 8, films: 60, predicted: 60, seed: 11, asLab: { from: 20, weights } });
    const middle = ({ widths }: typeof before) => widths[widths.length >> 1];
    expect(middle(after)).toBeLessThan(middle(before));
    const bias = after.differences.reduce((sum, { lighter }) => sum + lighter, 0) / after.differences.length;
    // 60 predictions with a spread of about 2.5 in L*: their mean lies within 1 but for three cases in a thousand
    expect(Math.abs(bias)).toBeLessThan(1);
  });

  test("a panel with two bottles mixed up is named, not swallowed", () => {
    const { shelf } = simulateShelf({ pastes: 8, films: 48, predicted: 0, seed: 21 });
    const swapped = shelf.readings.findIndex(({ films }, r) => {
      const { parts } = shelf.films[films[0]];
      return r >= 16 && parts.length === 2 && Math.abs(Math.log(parts[0].amount / parts[1].amount)) > 1;
    });
    const film = shelf.readings[swapped].films[0];
    const [a, b] = shelf.films[film].parts;
    const parts = [
      { component: a.component, amount: b.amount },
      { component: b.component, amount: a.amount },
    ];
    const films = shelf.films.map((one, f) => (f === film ? { ...one, parts } : one));
    const noted = { ...shelf, films };
    const result = calibrateShelf(noted, options);
    const { seen } = shelf.readings[swapped];
    if (seen?.kind !== "spectrum") throw new TypeError("the panel has a spectrum");
    const named = mixedUp(noted, result, swapped, colourOf(seen.reflectance), weights);
    const names = [a, b].map(({ component }) => shelf.components[component].name);
    expect(named?.likely).toBe(`the doses of ${names[0]} and ${names[1]} are exchanged`);
  });
});
