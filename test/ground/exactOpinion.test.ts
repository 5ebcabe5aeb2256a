import { describe, expect, test } from "vitest";
import { blendOf } from "../../src/coating/blend.ts";
import { Eye } from "../../src/coating/eye.ts";
import { deltaE2000 } from "../../src/colour/difference.ts";
import { GroundChain } from "../../src/ground/chain.ts";
import { exactCurve, exactOpinion } from "../../src/ground/exactOpinion.ts";
import { plannedPoint } from "../../src/ground/job.ts";
import { exactCurveTask } from "../../src/ground/longTasks.ts";
import { runDirect } from "../../src/workers/direct.ts";
import { exactReflectances } from "../optics/transfer/exactReflectances.ts";
import { eye, job, parts, wineJob } from "./lanternJob.ts";

const point = plannedPoint(job, 0.55);

describe("second opinion on a job", () => {
  const opinion = exactOpinion(job, point);

  test("its two-flux side is the chain", () => {
    const chain = new GroundChain(job);
    const worst = chain.at(point);
    opinion.parts.forEach((part, p) => {
      expect(part.twoFluxDifference).toBeCloseTo(chain.differences[p], 9); // identity
      for (let c = 0; c < 3; c++) expect(part.twoFluxLab[c]).toBeCloseTo(chain.labs[3 * p + c], 9);
    });
    expect(opinion.twoFluxWorst).toBeCloseTo(worst, 9);
  });

  test("its exact side is the exact stack seen by the same eye", () => {
    // identity: the films laid out in dry thickness, 32 directions; 1e-3 in Lab: 8 directions
    const red = blendOf(job.recipe.components, job.recipe.volumes);
    const ground = blendOf(job.paints, [0.45, 0.55]);
    const exact = exactReflectances(
      [
        { ...red, dryThickness: 90 * red.mix.volumeSolids },
        { ...ground, dryThickness: 50 * ground.mix.volumeSolids },
      ],
      parts,
      32,
    );
    const seer = new Eye(eye);
    exact.forEach((internal, p) => {
      const { Lab } = seer.see(internal);
      for (let c = 0; c < 3; c++) expect(Math.abs(Lab[c] - opinion.parts[p].exactLab[c])).toBeLessThan(1e-3);
      expect(opinion.parts[p].apart).toBeCloseTo(deltaE2000(Lab, opinion.parts[p].twoFluxLab), 3);
    });
  });

  test("a translucent red over a light ground is taken too dark", () => {
    // source: slabs over a light ground by exact transfer (Chandrasekhar 1950): two-flux theory is too dark
    // for thin, strongly absorbing coats
    for (const { lighter, apart } of opinion.parts) {
      expect(lighter).toBeGreaterThan(0.3);
      expect(apart).toBeGreaterThan(0.5);
    }
    expect(opinion.words).toContain("too dark here by up to ΔE00");
    expect(exactOpinion(wineJob, point).apart).toBeGreaterThan(opinion.apart); // the darker red, the more so
  });

  test("the basecoat alone, which scatters, is taken right", () => {
    // source: the same: good to 1 or 2 % where scattering rules
    const alone = exactOpinion(job, { ...point, coats: 0 });
    for (const { exactLab, twoFluxLab } of alone.parts) {
      expect(Math.abs(exactLab[0] - twoFluxLab[0])).toBeLessThan(1);
    }
    expect(alone.apart).toBeLessThan(opinion.apart);
  });

  test("no films are no question", () => {
    const bare = exactOpinion({ ...job, basecoatWet: 0 }, { ...point, coats: 0 });
    expect(bare.apart).toBeLessThan(1e-9); // identity: both show the part
    expect(bare.words).toContain("agrees with the film theory");
  });

  test("anisotropic scattering of the same S changes little", () => {
    // source: similarity in s(1 − g) (Mudgett, Richards 1971)
    const forward = exactOpinion(job, point, { anisotropy: 0.7, streams: 12 });
    forward.parts.forEach(({ exactLab }, p) => {
      expect(deltaE2000(exactLab, opinion.parts[p].exactLab)).toBeLessThan(0.5);
    });
    expect(() => exactOpinion(job, point, { anisotropy: 1 })).toThrow(/anisotropy = 1/);
  });

  test("along the ratio: the band between the theories", async () => {
    const ratios = [0, 0.3, 0.55, 1];
    const curve = exactCurve(job, point, ratios);
    const chain = new GroundChain(job);
    ratios.forEach((ratio, k) => {
      expect(curve.twoFlux[k]).toBeCloseTo(chain.at(plannedPoint(job, ratio)), 9); // identity
      expect(curve.exact[k]).toBeCloseTo(exactOpinion(job, plannedPoint(job, ratio)).exactWorst, 9); // identity
    });
    expect(await runDirect(exactCurveTask, { job, point, ratios })).toEqual(curve);
  });

  test("well under a second", () => {
    const start = performance.now();
    exactOpinion(job, point);
    expect(performance.now() - start).toBeLessThan(500);
  });
});
