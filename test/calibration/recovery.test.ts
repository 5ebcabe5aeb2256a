import { beforeAll, describe, expect, test } from "vitest";
import { bandsFromSigma } from "../../src/calibration/bands.ts";
import { calibrate } from "../../src/calibration/calibrate.ts";
import type { CalibrationProblem } from "../../src/calibration/problem.ts";
import { type CalibrationOptions, usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { normal, seededRandom } from "../../src/fit/seededRandom.ts";
import { filmReflectance } from "../../src/optics/film.ts";
import { toInternal } from "../../src/optics/interface.ts";
import {
  binder,
  card,
  film,
  masstoneShare,
  medianOf,
  points,
  simulationOf,
  surface,
  usualDrawdowns,
} from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const options = { ...usualCalibrationOptions, leaveOneOut: false };
const seeds = Array.from({ length: 40 }, (_, k) => k + 1);

const [black, whiteCard] = card.map(({ reflectance }) =>
  toInternal(reflectance[0], surface.externalReflection, surface.internalReflection, "included"),
);

/**
 * Whether a masstone film of the design, at one wavelength, is neither opaque (the card changes it by 0.02 or more) nor
 * clear: it takes 0.05 off the white card (absorption shows), or adds 0.05 to the black one (scattering shows).
 */
function shows(K: number, S: number, i: number): { absorption: boolean; scattering: boolean } {
  const share = masstoneShare;
  let absorption = false;
  let scattering = false;
  for (const X of [12, 30]) {
    const [clearK, clearS] = [(1 - share) * binder.absorption[i], (1 - share) * binder.scattering[i]];
    const over = (Rg: number) => filmReflectance(share * K + clearK, share * S + clearS, X, Rg);
    const clear = (Rg: number) => filmReflectance(clearK, clearS, X, Rg);
    if (over(whiteCard) - over(black) < 0.02) continue;
    absorption ||= clear(whiteCard) - over(whiteCard) > 0.05;
    scattering ||= over(black) - clear(black) > 0.05;
  }
  return { absorption, scattering };
}

/** The white as a person knows it who calibrated it himself: each K and S off by some per cent, and told so. */
function withInexactWhite(
  problem: CalibrationProblem,
  relativeSigma: number,
  seed: number,
): CalibrationProblem {
  const random = seededRandom(seed + 1000);
  const off = (values: Float64Array) =>
    values.map((value) => Math.max(0, value * (1 + relativeSigma * normal(random))));
  const sigma = (values: Float64Array) => values.map((value) => relativeSigma * value);
  return {
    ...problem,
    companions: problem.companions.map((companion, c) => {
      if (c > 0) return companion;
      const { name, absorption, scattering } = companion;
      return {
        name,
        absorption: off(absorption),
        scattering: off(scattering),
        absorptionSigma: sigma(absorption),
        scatteringSigma: sigma(scattering),
      };
    }),
  };
}

function recover(told: "known" | "unknown", changes: Partial<CalibrationOptions> = {}, whiteSigma = 0) {
  const errorsK: number[] = [];
  const errorsS: number[] = [];
  const inside = { K: 0, S: 0, count: 0 };
  const noise: number[] = [];
  for (const seed of seeds) {
    const paste = seededPaste(seed);
    const simulated = simulateDrawdowns(simulationOf(paste, usualDrawdowns(told), seed));
    const problem = whiteSigma > 0 ? withInexactWhite(simulated, whiteSigma, seed) : simulated;
    const result = calibrate(problem, { ...options, ...changes }, nm);
    expect(result.status, `${paste.name}, seed ${seed}`).not.toBe("refused");
    expect(result.outliers, `${paste.name}, seed ${seed}`).toEqual([]);
    expect(result.search.status, `${paste.name}, seed ${seed}`).toBe("converged");
    noise.push(result.noiseScale);
    const { absorption, scattering } = result.curves!;
    const bands = bandsFromSigma(result.curves!, 0.9);
    for (let i = 0; i < points; i++) {
      const K = paste.absorption[i];
      const S = paste.scattering[i];
      inside.count++;
      if (K >= bands.absorption.low[i] && K <= bands.absorption.high[i]) inside.K++;
      if (S >= bands.scattering.low[i] && S <= bands.scattering.high[i]) inside.S++;
      const seen = shows(K, S, i);
      if (seen.absorption) errorsK.push(Math.abs(absorption[i] / K - 1));
      if (seen.scattering) errorsS.push(Math.abs(scattering[i] / S - 1));
    }
  }
  return {
    medianK: medianOf(errorsK),
    medianS: medianOf(errorsS),
    counted: [errorsK.length, errorsS.length],
    coverageK: inside.K / inside.count,
    coverageS: inside.S / inside.count,
    noise: noise.reduce((sum, value) => sum + value, 0) / noise.length,
  };
}

// identity: the data come from the model, so the model must find what they were made with. 20 pastes are variations of
// the demo's model, 20 of the measured set of Okumura 2005; noise 0.2 % of reflectance, 5 % of thickness.
describe.each([
  ["stated thicknesses", "known", {}, 0],
  ["unmeasured thicknesses", "unknown", {}, 0],
  [
    "stated thicknesses, smoothness chosen by cross-validation",
    "known",
    { smoothness: "cross-validated" as const },
    0,
  ],
  ["stated thicknesses, a white known to 3 %", "known", {}, 0.03],
] as const)("40 pastes, %s", (name, told, changes, whiteSigma) => {
  let found: ReturnType<typeof recover>;
  beforeAll(() => {
    found = recover(told, changes, whiteSigma);
  });

  test("K and S come back", () => {
    console.log(
      `${name}: median error K ${(found.medianK * 100).toFixed(2)} %, S ${(found.medianS * 100).toFixed(2)} % ` +
        `(${found.counted.join(" and ")} places); 90 % bands hold K in ${(found.coverageK * 100).toFixed(1)} %, ` +
        `S in ${(found.coverageS * 100).toFixed(1)} % of all places; noise found ${found.noise.toFixed(3)} times the true one`,
    );
    expect(found.counted[0]).toBeGreaterThan(800);
    expect(found.counted[1]).toBeGreaterThan(400);
    expect(found.medianK).toBeLessThan(0.03);
    expect(found.medianS).toBeLessThan(0.03);
  });

  test("the stated 90 % bands hold 85 to 95 % of the true values", () => {
    for (const coverage of [found.coverageK, found.coverageS]) {
      expect(coverage).toBeGreaterThan(0.85);
      expect(coverage).toBeLessThan(0.95);
    }
  });

  test("the noise is found", () => {
    expect(found.noise).toBeGreaterThan(0.95);
    expect(found.noise).toBeLessThan(1.05);
  });
});

describe("thicknesses", () => {
  const truth = usualDrawdowns("unknown");
  const result = calibrate(
    simulateDrawdowns(simulationOf(seededPaste(9), truth, 4)),
    usualCalibrationOptions,
    nm,
  );

  test("unmeasured ones are found from the let-downs with the known white", () => {
    result.drawdowns.forEach(({ thickness, thicknessLogSigma }, f) => {
      const off = Math.log(thickness / truth[f].trueThickness);
      expect(Math.abs(off)).toBeLessThan(0.03);
      expect(Math.abs(off)).toBeLessThan(4 * thicknessLogSigma);
    });
    expect([result.rank, result.unknowns]).toEqual([8, 8]);
  });

  test("k2 can be estimated beside them", () => {
    const simulation = simulationOf(seededPaste(9), truth, 4, {
      surface: { ...surface, internalReflection: 0.52 },
    });
    // The person believes the usual 0.60, give or take 0.1.
    const problem = { ...simulateDrawdowns(simulation), surface };
    const { k2 } = calibrate(problem, { ...options, k2Sigma: 0.1 }, nm);
    expect(Math.abs(k2.value - 0.52)).toBeLessThan(4 * k2.sigma);
    expect(k2.sigma).toBeLessThan(0.02);
  });
});

test("a white whose K nobody knows comes out with the paste", () => {
  const paste = seededPaste(3);
  const opaque = [0.02, 0.05, 0.1, 0.3, 1].map((share) =>
    film(`opaque ${share}`, [share, 1 - share, 0], Number.POSITIVE_INFINITY, "opaque"),
  );
  const plan = [...opaque, film("white", [0, 1, 0], Number.POSITIVE_INFINITY, "opaque")];
  const simulated = simulateDrawdowns(simulationOf(paste, plan, 2, { noise: 1e-5 }));
  const problem: CalibrationProblem = {
    ...simulated,
    companions: simulated.companions.map((companion, c) =>
      c > 0
        ? companion
        : {
            ...companion,
            absorption: companion.absorption.map((K) => 2 * K + 1e-4), // a first guess, far off
            absorptionSigma: new Float64Array(points).fill(Number.POSITIVE_INFINITY),
          },
    ),
  };
  const result = calibrate(problem, { ...options, noise: "stated" }, nm);
  const truth = simulated.companions[0].absorption;
  expect(result.companions.map((one) => one.name)).toEqual([simulated.companions[0].name]);
  // source: Walowit, McCarthy, Berns 1987 (three unknowns of an opaque series, the white's S as the unit)
  result.companions[0].absorption.forEach((K, i) => expect(Math.abs(K / truth[i] - 1)).toBeLessThan(0.02));
  for (let i = 12; i < 18; i++) {
    expect(Math.abs(result.curves!.absorption[i] / paste.absorption[i] - 1)).toBeLessThan(0.01);
  }
});

describe("a verdict of refusal gives the right reason", () => {
  const paste = seededPaste(5); // a demo red, varied
  const inBinder = (told: "known" | "unknown") =>
    [0.05, 0.1, 0.2].flatMap((share) =>
      [10, 30].map((X) => film(`${share} ${X}`, [share, 0, 1 - share], X, told)),
    );
  const opaque = (fractions: number[]) =>
    film(`opaque ${fractions[0]}`, fractions, Number.POSITIVE_INFINITY, "opaque");
  const verdict = (plan: Parameters<typeof simulationOf>[1]) => {
    const result = calibrate(simulateDrawdowns(simulationOf(paste, plan, 8)), usualCalibrationOptions, nm);
    const reason = result.findings.find(({ severity }) => severity === "refused");
    return { status: result.status, code: reason?.code, text: reason?.text ?? "" };
  };

  test("in clear binder alone, no thickness measured: thickness and strength cannot be told apart", () => {
    const { status, code, text } = verdict(inBinder("unknown"));
    expect([status, code]).toEqual(["refused", "thickness-and-strength"]);
    expect(text).toContain("Add one let-down with the known white, or measure one film");
  });

  test("the same with measured thicknesses is accepted", () => {
    expect(verdict(inBinder("known")).status).toBe("accepted");
  });

  test("the same with a single measured film is accepted", () => {
    const [first, ...others] = inBinder("unknown");
    expect(verdict([{ ...first, told: "known" }, ...others]).status).not.toBe("refused");
  });

  test("the same with a single let-down with the known white is accepted", () => {
    const letDown = film("let-down", [0.02, 0.18, 0.8], 20, "unknown");
    expect(verdict([...inBinder("unknown"), letDown]).status).not.toBe("refused");
  });

  test("opaque films of the paste alone: only the ratio", () => {
    const { status, code, text } = verdict([opaque([0.1, 0, 0.9]), opaque([0.2, 0, 0.8])]);
    expect([status, code]).toEqual(["refused", "only-the-ratio"]);
    expect(text).toContain("hide the card completely");
  });

  test("opaque let-downs with the known white are accepted: the white is the measure", () => {
    expect(verdict([0.02, 0.05, 0.2, 1].map((share) => opaque([share, 1 - share, 0]))).status).not.toBe(
      "refused",
    );
  });

  test("films that hardly change the card: too clear", () => {
    const { status, code } = verdict([
      film("a", [1e-4, 0, 0.9999], 2, "known"),
      film("b", [2e-4, 0, 0.9998], 2, "known"),
    ]);
    expect([status, code]).toEqual(["refused", "too-clear"]);
  });

  test("one film of unknown thickness: thickness and strength", () => {
    expect(verdict([film("one", [0.12, 0, 0.88], 20, "unknown")])).toMatchObject({
      status: "refused",
      code: "thickness-and-strength",
    });
  });
});
