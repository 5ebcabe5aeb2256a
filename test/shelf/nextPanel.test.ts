import { expect, test } from "vitest";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { reflectanceToLab } from "../../src/colour/Lab.ts";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectanceInto } from "../../src/optics/film.ts";
import { toMeasuredInto } from "../../src/optics/interface.ts";
import { type CalibratedShelf, calibrateShelf } from "../../src/shelf/calibrateShelf.ts";
import { nextPanels } from "../../src/shelf/nextPanel.ts";
import type { Shelf } from "../../src/shelf/shelf.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { thorough } from "../howMuch.ts";
import { simulateShelf } from "./simulateShelf.ts";

const weights = weightsFor("1964-10", "D65");
const pastes = 6;
const learnt = 8;
const candidates = 24;
// Ten seconds each: every day a few of them.
const shelves = 50;

/** A shelf of which little is known, a job of three of its pastes, and panels that could be made. */
function sceneOf(seed: number) {
  const { shelf, K, S, held } = simulateShelf({ pastes, films: learnt, predicted: candidates, seed });
  const random = seededRandom(1000 + seed);
  const order = Array.from({ length: pastes }, (_, k) => [random(), k]).sort((a, b) => a[0] - b[0]);
  const parts = order.slice(0, 3).map(([, component]) => ({ component, amount: 3 + 9 * random() }));
  const ground = seed % 2;
  const job = { label: "job", parts, thicknessSigma: 1e-3, doseSigma: 1e-3 };
  const whole: Shelf = {
    ...shelf,
    films: [...shelf.films, job],
    readings: [...shelf.readings, { films: [shelf.films.length], ground, specular: "included" }],
  };
  const points = shelf.wavelengths.length;
  const [a, s, R] = [0, 0, 0].map(() => new Float64Array(points));
  for (const { component, amount } of parts) {
    for (let i = 0; i < points; i++) {
      a[i] += amount * K[component][i];
      s[i] += amount * S[component][i];
    }
  }
  const { externalReflection: k1, internalReflection: k2 } = shelf.surface;
  filmReflectanceInto(a, s, 1, shelf.grounds[ground], R);
  toMeasuredInto(R, k1, k2, "included", R);
  const truth = reflectanceToLab(R, weights, new Float64Array(3));
  /** The shelf once some candidates were made and read. */
  const made = (panels: readonly number[]): Shelf => ({
    ...whole,
    readings: whole.readings.map((reading, r) => {
      const panel = panels.find((one) => held[one].reading === r);
      return panel === undefined
        ? reading
        : { ...reading, seen: { kind: "spectrum", reflectance: held[panel].reflectance } };
    }),
  });
  return { made, truth, held, random, job: whole.readings.length - 1 };
}

/** ΔE00 between the job as it is predicted and as it truly is. */
function missOf({ draws }: CalibratedShelf, job: number, readings: number, truth: Float64Array): number {
  const points = draws.reflectance.length / (draws.count * readings);
  const mean = new Float64Array(points);
  for (let d = 0; d < draws.count; d++) {
    const at = (d * readings + job) * points;
    for (let i = 0; i < points; i++) mean[i] += draws.reflectance[at + i] / draws.count;
  }
  return deltaE2000(truth, reflectanceToLab(mean, weights, new Float64Array(3)));
}

test.skipIf(!thorough)(
  `three panels that are chosen serve the job at least as well as six at random, over ${shelves} shelves`,
  () => {
    // identity: what the choice is for; truth is known here alone
    const mean = { before: 0, chosen: 0, random: 0, expected: 0 };
    for (let seed = 1; seed <= shelves; seed++) {
      const { made, truth, held, random, job } = sceneOf(seed);
      const first = calibrateShelf(made([]), { seed, keep: 48 });
      // As in the workbench: the next answer begins where the last one ended.
      const calibrated = (panels: readonly number[]) =>
        calibrateShelf(made(panels), { seed, keep: 48, from: first.state });
      const readings = made([]).readings.length;
      const { wavelengths } = made([]);
      const next = nextPanels(first.draws, {
        ...{ job, readings, wavelengths, weights, seed },
        candidates: held.map(({ reading }) => reading),
        steps: 3,
      });
      const any = held.map((_, k) => [random(), k]).sort((a, b) => a[0] - b[0]);
      const chosen = next.panels.map(({ candidate }) => candidate);
      const six = any.slice(0, 6).map(([, k]) => k);
      mean.before += missOf(first, job, readings, truth) / shelves;
      mean.chosen += missOf(calibrated(chosen), job, readings, truth) / shelves;
      mean.random += missOf(calibrated(six), job, readings, truth) / shelves;
      if (seed % 10 === 0) console.log(`${seed} shelves: ${JSON.stringify(mean)} times ${shelves}`);
      mean.expected += next.panels[2].expected / shelves;
    }
    console.log(
      `${shelves} shelves: the job lies ΔE00 ${mean.before.toFixed(2)} off, after three chosen panels ${mean.chosen.toFixed(2)} (expected ${mean.expected.toFixed(2)}), after six at random ${mean.random.toFixed(2)}`,
    );
    expect(mean.chosen).toBeLessThanOrEqual(mean.random);
    expect(mean.chosen).toBeLessThan(mean.before);
  },
  3_000_000,
);
