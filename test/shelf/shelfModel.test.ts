import { expect, test } from "vitest";
import { compileShelf } from "../../src/shelf/compiledShelf.ts";
import { usualPriors } from "../../src/shelf/priors.ts";
import { ShelfModel } from "../../src/shelf/shelfModel.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { simulateShelf } from "./simulateShelf.ts";

test("the gradient of films, films over films, spectra and colours is the slope of the cost", () => {
  // identity: central differences
  const asLab = { from: 6, weights: weightsFor("1964-10", "D65") };
  const { shelf } = simulateShelf({ pastes: 3, films: 10, predicted: 0, seed: 4, asLab });
  const stacked = shelf.readings.map((reading, r) =>
    r % 3 === 1 ? { ...reading, films: [r - 1, r] } : reading,
  );
  const films = shelf.films.map((film) => ({ ...film, laid: true }));
  const model = new ShelfModel(compileShelf({ ...shelf, films, readings: stacked }, usualPriors[0]));
  const { size } = model.compiled;
  const q = Float64Array.from({ length: size }, (_, i) => 0.3 * Math.sin(1.7 * i));
  const gradient = new Float64Array(size);
  model.cost(q, gradient);
  const step = 1e-5;
  const costAt = (i: number, by: number) => model.cost(q.map((value, k) => (k === i ? value + by : value)));
  for (let i = 0; i < size; i++) {
    const slope = (costAt(i, step) - costAt(i, -step)) / (2 * step);
    expect(Math.abs(gradient[i] - slope)).toBeLessThan(1e-5 * (1 + Math.abs(slope)));
  }
});
