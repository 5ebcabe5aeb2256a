import { expect, test } from "vitest";
import { solveLowerArrow } from "../../src/fit/blockArrow.ts";
import { compileShelf } from "../../src/shelf/compiledShelf.ts";
import { findMode } from "../../src/shelf/mode.ts";
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
  const films = shelf.films.map((film, f) => ({
    ...film,
    laid: true,
    parts: film.parts.map((part) => (part.component === 1 ? { ...part, bottle: f % 2 } : part)),
  }));
  const readings = stacked.map((reading, r) => ({ ...reading, habit: r % 4 === 3 ? undefined : r % 2 }));
  const told = { ...shelf, films, readings, bottles: 2, habits: 2 };
  const model = new ShelfModel(compileShelf(told, usualPriors[0]));
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

test("the Jacobian is the slope of what is computed, with bottles and habits", () => {
  // identity: central differences of the whitened residual
  const asLab = { from: 6, weights: weightsFor("1964-10", "D65") };
  const { shelf } = simulateShelf({ pastes: 2, films: 8, predicted: 0, seed: 5, asLab });
  const films = shelf.films.map((film, f) => ({
    ...film,
    parts: film.parts.map((part) => ({ ...part, bottle: 2 * part.component + (f % 2) })),
  }));
  const readings = shelf.readings.map((reading, r) => ({ ...reading, habit: r % 2 }));
  const model = new ShelfModel(
    compileShelf({ ...shelf, films, readings, bottles: 4, habits: 2 }, usualPriors[1]),
  );
  const { size, points } = model.compiled;
  const q = Float64Array.from({ length: size }, (_, i) => 0.3 * Math.cos(1.3 * i));
  const step = 1e-5;
  for (const reading of [0, 5, 7]) {
    const residualAt = (i: number, by: number) => {
      model.set(q.map((value, k) => (k === i ? value + by : value)));
      const residual = new Float64Array(points);
      model.jacobianInto(reading, new Float64Array(points * size), residual);
      return residual;
    };
    model.set(q);
    const jacobian = new Float64Array(points * size);
    const rows = model.jacobianInto(reading, jacobian, new Float64Array(points));
    const unknowns = new Int32Array(2 * size);
    const reached = new Set(unknowns.subarray(0, model.unknownsInto(reading, unknowns)));
    for (let i = 0; i < size; i++) {
      const up = residualAt(i, step);
      const down = residualAt(i, -step);
      for (let r = 0; r < rows; r++) {
        const slope = -(up[r] - down[r]) / (2 * step);
        expect(Math.abs(jacobian[r * size + i] - slope)).toBeLessThan(1e-4 * (1 + Math.abs(slope)));
        if (!reached.has(i)) expect(slope).toBe(-0);
      }
    }
  }
});

test("more unknowns that all meet each other than can be found are refused, however few films there are", () => {
  const { shelf } = simulateShelf({ pastes: 2, films: 6, predicted: 0, seed: 6 });
  const model = (bottles: number) => new ShelfModel(compileShelf({ ...shelf, bottles }, usualPriors[3]));
  const start = (of: ShelfModel) => new Float64Array(of.compiled.size);
  const few = model(2);
  expect(findMode(few, start(few), 1, 30).cost).toBeLessThan(few.cost(start(few)));
  const many = model(3001);
  expect(() => findMode(many, start(many), 1, 1)).toThrow(/at most 3000 can be found at once/);
});

test("films that lie one on another stand together in the curvature", () => {
  // identity: at the most likely unknowns half of gᵀH⁻¹g, what one more step would gain, is below what ends the search (0.02)
  const { shelf } = simulateShelf({ pastes: 3, films: 12, predicted: 0, seed: 4 });
  const readings = shelf.readings.map((reading, r) => (r > 3 ? { ...reading, films: [r % 4, r] } : reading));
  const model = new ShelfModel(compileShelf({ ...shelf, readings }, usualPriors[0]));
  const zero = new Float64Array(model.compiled.size);
  const { q, cost, factor } = findMode(model, zero, 1, 60);
  expect(factor.pattern.groups).toHaveLength(4);
  expect(cost).toBeLessThan(model.cost(zero));
  const gradient = new Float64Array(q.length);
  model.cost(q, gradient);
  solveLowerArrow(factor, gradient, new Float64Array(factor.pattern.rest.length));
  expect(gradient.reduce((sum, value) => sum + value * value, 0) / 2).toBeLessThan(0.02);
});
