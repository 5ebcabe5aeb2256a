import { addRow, noEquations, solveNormal } from "../fit/leastSquares.ts";
import type { CircleSample } from "./circleSample.ts";

/** How the light on the scene changes over the picture. */
export interface FallOff {
  readonly model: "none" | "along a line" | "plane" | "bowl";
  /** Light at a point of the picture over the mean light of the card samples. */
  lightAt(x: number, y: number): number;
  /** Largest difference, as a fraction, between a card sample and the model. */
  readonly residual: number;
  /** Brightest over darkest card sample: how much there was to correct. */
  readonly range: number;
  readonly notes: readonly string[];
}

/** From here on the light is so uneven that a correction is doubtful (common practice). */
const strong = 1.6;

/**
 * Fall-off of the light from samples of one card at several places: the logarithm of the card's brightness is taken as
 * constant (one sample), changing along the line through them (two, or several in a row), a plane (three or more), or a
 * plane with one curvature for the darkening towards the corners (six or more). Fewer samples give the gentlest model
 * that fits them.
 *
 * @param cards samples of one uniform card; refused ones are left out
 */
export function fallOffOf(cards: readonly CircleSample[]): FallOff {
  const usable = cards.filter((card) => card.refusals.length === 0);
  const notes: string[] = [];
  if (usable.length < cards.length) {
    notes.push(`${cards.length - usable.length} of ${cards.length} card samples left out as unusable`);
  }
  if (usable.length < 2) {
    notes.push("fall-off of the light not corrected: sample the card at two or more places around the part");
    return { model: "none", lightAt: () => 1, residual: 0, range: 1, notes };
  }
  const points = usable.map((card) => ({
    x: card.circle.x,
    y: card.circle.y,
    brightness: Math.log((card.rgb[0] + card.rgb[1] + card.rgb[2]) / 3),
  }));
  const mean = average(points.map((point) => point.brightness));
  const centre = { x: average(points.map((p) => p.x)), y: average(points.map((p) => p.y)) };
  const reach = Math.sqrt(average(points.map((p) => (p.x - centre.x) ** 2 + (p.y - centre.y) ** 2)));
  if (reach === 0) {
    notes.push("fall-off of the light not corrected: the card samples lie on one spot");
    return { model: "none", lightAt: () => 1, residual: 0, range: 1, notes };
  }
  const bowl = points.length >= 6;
  const terms = (x: number, y: number): number[] => {
    const u = (x - centre.x) / reach;
    const v = (y - centre.y) / reach;
    return bowl ? [1, u, v, u * u + v * v] : [1, u, v];
  };
  // The small pull leaves directions in which the card was not sampled without a gradient.
  const start = [mean, ...terms(0, 0).slice(1).fill(0)];
  const equations = noEquations(start.length);
  for (const point of points) addRow(equations, terms(point.x, point.y), point.brightness);
  const coefficients = solveNormal(equations, start, 1e-9);
  const light = (x: number, y: number): number =>
    Math.exp(terms(x, y).reduce((sum, term, i) => sum + coefficients[i] * term, 0) - mean);
  const residual = Math.max(
    ...points.map((p) => Math.abs(Math.exp(p.brightness - mean) / light(p.x, p.y) - 1)),
  );
  const brightnesses = points.map((p) => p.brightness);
  const range = Math.exp(Math.max(...brightnesses) - Math.min(...brightnesses));
  if (range > strong) {
    notes.push(
      `the light on the card varies ${range.toFixed(1)}-fold: photograph again under more even light`,
    );
  }
  return {
    model: bowl ? "bowl" : inOneLine(points, centre) ? "along a line" : "plane",
    lightAt: light,
    residual,
    range,
    notes,
  };
}

function inOneLine(points: readonly { x: number; y: number }[], centre: { x: number; y: number }): boolean {
  let xx = 0;
  let yy = 0;
  let xy = 0;
  for (const point of points) {
    xx += (point.x - centre.x) ** 2;
    yy += (point.y - centre.y) ** 2;
    xy += (point.x - centre.x) * (point.y - centre.y);
  }
  // Smaller over larger principal spread of the points.
  const root = Math.sqrt((xx - yy) ** 2 + 4 * xy * xy);
  return xx + yy - root < 1e-3 * (xx + yy + root);
}

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
