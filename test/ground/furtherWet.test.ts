import { describe, expect, test } from "vitest";
import { seededRandom } from "../../src/fit/seededRandom.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { exactOpinion } from "../../src/ground/exactOpinion.ts";
import { GroundRater } from "../../src/ground/groundCandidate.ts";
import { type GroundJob, plannedPoint } from "../../src/ground/job.ts";
import { JobDraws } from "../../src/ground/jobDraws.ts";
import { groundCurve } from "../../src/ground/map.ts";
import { uncertaintyRibbon } from "../../src/ground/ribbon.ts";
import { ExpectedDifference } from "../../src/ground/thicknessProof.ts";
import { job } from "./lanternJob.ts";

const heavy = 30;
const counts = [0, 2, 1];
/** Two heavy coats more on the black bolsters, one on the plinth. */
const uneven: GroundJob = { ...job, more: { wets: counts.map((count) => count * heavy), mean: 20 } };
const even: GroundJob = { ...job, more: { wets: [0, 0, 0], mean: 0 } };
/** A part of the job by itself, the further coats among those of its plan. */
const alone = (part: number): GroundJob => ({
  ...job,
  coatWets: [...Array.from(job.coatWets), ...new Array<number>(counts[part]).fill(heavy)],
  substrates: [job.substrates[part]],
});
const spread = { colour: 0.2, basecoat: 0.2 };
const doubt = {
  filmBuild: spread,
  ratio: 0.02,
  batch: 100,
  doseStep: 0.05,
  coefficientBands: 1,
  assumedBand: 0.05,
};

describe("parts that get more coats than the plan", () => {
  test("nothing more is as it was, to the last digit", () => {
    const ratios = [0, 0.3, 0.8];
    const axis = { setting: "ratio", values: ratios } as const;
    // identity: adding nothing
    expect(groundCurve(even, axis, plannedPoint(even, 0))).toEqual(
      groundCurve(job, axis, plannedPoint(job, 0)),
    );
    expect(new ExpectedDifference(even, spread).at(0.4)).toBe(new ExpectedDifference(job, spread).at(0.4));
  });

  test.each([0, 1, 2])("part %i is as a job of it alone with so many coats more", (part) => {
    const chain = new GroundChain(uneven);
    const own = new GroundChain(alone(part));
    for (const ratio of [0, 0.37, 1]) {
      chain.at(plannedPoint(uneven, ratio));
      own.at(plannedPoint(alone(part), ratio));
      // identity; 1e-9: rounding
      expect(Math.abs(chain.differences[part] - own.differences[0])).toBeLessThan(1e-9);
    }
    const expected = new ExpectedDifference(uneven, spread);
    const ownExpected = new ExpectedDifference(alone(part), spread);
    expected.at(0.4);
    ownExpected.at(0.4);
    expect(Math.abs(expected.expected[part] - ownExpected.expected[0])).toBeLessThan(1e-9);
  });

  test("draws vary all of the film of a part", () => {
    const draws = new JobDraws(uneven, doubt);
    const draw = draws.create();
    draws.drawInto(seededRandom(4), draw);
    const chain = new GroundChain(uneven, draws);
    chain.at(plannedPoint(uneven, 0.3), draw);
    const own = new GroundChain(alone(1), new JobDraws(alone(1), doubt));
    own.at(plannedPoint(alone(1), 0.3), draw);
    // identity; 1e-9: rounding
    expect(Math.abs(chain.differences[1] - own.differences[0])).toBeLessThan(1e-9);
    // What was drawn does not stay behind.
    chain.at(plannedPoint(uneven, 0.3));
    const fresh = new GroundChain(uneven);
    fresh.at(plannedPoint(uneven, 0.3));
    expect(chain.differences).toEqual(fresh.differences);
  });

  test("the ribbon and the second opinion look at each part's own film", () => {
    const one = (of: GroundJob) => ({
      ...of,
      substrates: [of.substrates[of.substrates.length === 1 ? 0 : 1]],
    });
    const ribbonOf = (of: GroundJob) =>
      uncertaintyRibbon({
        job: of,
        point: plannedPoint(of, 0.3),
        spread: doubt,
        setting: "ratio",
        values: [0.2, 0.7],
        samples: 8,
        seed: 1,
      });
    const onlyBlack: GroundJob = { ...one(uneven), more: { wets: [2 * heavy], mean: 2 * heavy } };
    ribbonOf(onlyBlack).median.forEach((value, k) => {
      expect(Math.abs(value - ribbonOf(alone(1)).median[k])).toBeLessThan(1e-9); // identity; rounding
    });
    const opinion = exactOpinion(uneven, plannedPoint(uneven, 0.3), { streams: 4 });
    const own = exactOpinion(alone(1), plannedPoint(alone(1), 0.3), { streams: 4 });
    expect(Math.abs(opinion.parts[1].exactDifference - own.parts[0].exactDifference)).toBeLessThan(1e-6); // identity
    expect(Math.abs(opinion.parts[1].twoFluxDifference - own.parts[0].twoFluxDifference)).toBeLessThan(1e-9);
  });

  test("a ranked ground is rated on the films that the parts get", () => {
    const request = (of: GroundJob) => ({
      ...of,
      tints: [],
      maxTint: 0,
      oneBasecoatWet: of.basecoatWet / 2,
      tolerance: 1,
      maxCoats: 2,
      transferEfficiency: 0.5,
    });
    const set = { paints: [0, 1], tint: undefined };
    const rated = new GroundRater(request(uneven)).rate(set)!;
    const chain = new GroundChain(uneven);
    chain.at(plannedPoint(uneven, rated.shares[1]));
    // identity: the same films by the chain; 1e-9: rounding
    rated.differences.forEach((d, p) => {
      expect(Math.abs(d - chain.differences[p])).toBeLessThan(1e-9);
    });
  });

  test("further coats that do not belong to the parts are refused", () => {
    expect(() => new GroundChain({ ...job, more: { wets: [1], mean: 1 } })).toThrow("further wet");
    expect(() => new GroundChain({ ...job, more: { wets: [0, -1, 0], mean: 0 } })).toThrow("further wet");
  });
});
