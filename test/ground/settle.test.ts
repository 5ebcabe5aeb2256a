import { describe, expect, test } from "vitest";
import { plannedPoint } from "../../src/ground/job.ts";
import { RatioRefitter, type RefitRequest } from "../../src/ground/refittedRatio.ts";
import { settle } from "../../src/ground/settle.ts";
import { usualSpread } from "../../src/ground/spread.ts";
import { ExpectedDifference } from "../../src/ground/thicknessProof.ts";
import { components, fitAt, request } from "./refitJob.ts";

describe("settling blend and recipe together", () => {
  const settled = settle(request);

  test("from any start it ends at the same place", () => {
    // 20, 50 and 80 %: the recipe is fitted there, by itself, and settling goes on from that recipe
    for (const start of [0.2, 0.5, 0.8]) {
      const { volumes } = fitAt(start);
      const again = settle({ ...request, job: { ...request.job, recipe: { components, volumes } } });
      expect(Math.abs(again.ratio - settled.ratio)).toBeLessThanOrEqual(0.01);
      again.volumes.forEach((volume, j) => {
        expect(Math.abs(volume - settled.volumes[j])).toBeLessThan(0.5);
      });
      expect(Math.abs(again.objective - settled.objective)).toBeLessThan(0.02);
    }
  });

  test("the recipe is the one that a fit at the settled blend gives", () => {
    // independent: a fit from nothing at this blend alone
    const { volumes, residual } = fitAt(settled.ratio);
    expect(Math.abs(residual - settled.objective)).toBeLessThan(1e-3);
    settled.volumes.forEach((volume, j) => {
      expect(Math.abs(volume - volumes[j])).toBeLessThan(0.05);
    });
  });

  test("among what counts as equal the thickness-proof blend wins, then the cheapest", () => {
    // independent: fits from nothing at every second per cent
    const all = Array.from({ length: 51 }, (_, k) => ({ ratio: k / 50, fit: fitAt(k / 50) }));
    const least = Math.min(...all.map(({ fit }) => fit.residual));
    expect(settled.objective).toBeLessThan(least + 0.05 + 2e-3);
    expect(settled.best.objective).toBeLessThan(least + 2e-3);
    for (const { ratio, fit } of all) {
      if (fit.residual > settled.best.objective + 0.049) continue;
      const own = { ...request.job, recipe: { components, volumes: fit.volumes } };
      const expected = new ExpectedDifference(own, usualSpread, plannedPoint(own, ratio)).at(ratio);
      expect(settled.expected).toBeLessThan(expected + 0.011);
    }
  });

  test("where all is as safe the price decides", () => {
    // No uneven hand: every blend is as safe as its plan, within a little of the best.
    const still: RefitRequest & { spread: { colour: number; basecoat: number } } = {
      ...request,
      spread: { colour: 0, basecoat: 0 },
    };
    const here = settle({ ...still, asGood: 0.02 });
    expect(here.expected).toBeCloseTo(here.difference, 9); // identity: no spread
    expect(here.cost!).toBeLessThanOrEqual(here.best.cost! + 1e-9);
  });

  test("in whole steps of a balance it stays within the rules and next to the best", () => {
    const step = 0.1;
    const coarse = settle({ ...request, balance: { batch: 100, step } });
    components.forEach(({ role, density }, j) => {
      if (role !== "paste") return;
      const steps = (coarse.volumes[j] * density) / step;
      expect(Math.abs(steps - Math.round(steps))).toBeLessThan(1e-9); // identity
      expect(coarse.volumes[j] === 0 || coarse.volumes[j] >= 0.2 - 1e-9).toBe(true);
    });
    expect(coarse.ratio).toBe(settled.ratio);
    // independent: no recipe of whole steps within one of the settled doses does better
    const refitter = new RatioRefitter(request);
    const pastes = [0, 1, 2];
    const nearest = pastes.map((j) => Math.round((settled.volumes[j] * components[j].density) / step));
    for (let move = 0; move < 27; move++) {
      const volumes = pastes.map(
        (j) => ((nearest[j] + (Math.floor(move / 3 ** j) % 3) - 1) * step) / components[j].density,
      );
      if (volumes.some((v) => v < 0 || (v > 0 && v < 0.2))) continue;
      const all = [...volumes, 100 - volumes.reduce((t, v) => t + v, 0)];
      expect(coarse.objective).toBeLessThan(refitter.objectiveAt(settled.ratio, all) + 1e-9);
    }
  });
});
