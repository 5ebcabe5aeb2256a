import { describe, expect, test } from "vitest";
import { GroundChain } from "../../src/ground/chain.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import { RatioRefitter, type RefitRequest, refittedCurve } from "../../src/ground/refittedRatio.ts";
import { components, fitAt, request, richJob } from "./refitJob.ts";

const lab: RefitRequest = {
  ...request,
  target: { kind: "lab", Lab: request.job.target },
  lights: request.lights.slice(0, 1),
};

describe("the recipe fitted anew along the ratio", () => {
  test.each<[string, RefitRequest]>([
    ["three lights", request],
    ["a Lab target in one light", lab],
    ["another paste", { ...request, job: richJob, binderIndex: richJob.recipe.components.length - 1 }],
    ["a tight loading", { ...request, limits: { maxLoading: 0.14 } }],
    ["a great least dose", { ...request, leastDose: 3 }],
  ])("%s: no ratio does worse than a fit from nothing there", (_, one) => {
    const { ratios, points } = refittedCurve(new RatioRefitter(one), 26);
    for (let k = 0; k < ratios.length; k += 5) {
      // independent: many starts at this ratio alone, the ground by mixing dry films; 0.003: the curve is followed coarsely
      expect(points[k].objective).toBeLessThan(fitAt(ratios[k], one).residual + 0.003);
    }
  });

  test("every point keeps the rules, and is what its recipe gives", () => {
    const { ratios, points, differences } = refittedCurve(new RatioRefitter(request), 26);
    points.forEach(({ volumes }, k) => {
      const sum = volumes.reduce((t, v) => t + v, 0);
      expect(sum).toBeCloseTo(100, 9); // identity
      let pastes = 0;
      components.forEach(({ role }, j) => {
        if (role !== "paste") return;
        pastes += volumes[j];
        // source: the rule itself, nothing or at least 0.2 mL per 100 mL
        expect(volumes[j] < 1e-6 || volumes[j] > 0.2 - 1e-6).toBe(true);
      });
      expect(pastes).toBeLessThan(25 + 1e-6);
      // independent: the chain of the sweep with this recipe
      const chain = new GroundChain({ ...request.job, recipe: { components, volumes } });
      expect(chain.at(plannedPoint(request.job, ratios[k]))).toBeCloseTo(differences[k], 9);
    });
  });

  test("held recipes lie above the curve, the fitted one touches it", () => {
    const refitter = new RatioRefitter(request);
    const { ratios, points } = refittedCurve(new RatioRefitter(request), 11);
    ratios.forEach((ratio, k) => {
      const here = points[k].objective;
      expect(refitter.objectiveAt(ratio, points[k].volumes)).toBeCloseTo(here, 9); // identity
      // identity: no recipe that keeps the rules does better than the best
      for (const other of points) {
        expect(refitter.objectiveAt(ratio, other.volumes)).toBeGreaterThan(here - 0.003);
      }
    });
  });

  test("what no recipe keeps is said", () => {
    expect(() => new RatioRefitter({ ...request, limits: { maxLoading: 0.1, min: [8, 8, 0, 0] } })).toThrow(
      "the least amounts of the pastes add up to more than the greatest loading",
    );
    expect(() => refittedCurve(new RatioRefitter(request), 2)).toThrow("points = 2");
  });
});
