import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import type { CalibrationProblem, Drawdown } from "../../src/calibration/problem.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { simulationOf, usualDrawdowns } from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");
const paste = seededPaste(3);
const clean = simulateDrawdowns(simulationOf(paste, usualDrawdowns("known"), 3));

/** The clean problem with some drawdowns spoilt, by index. */
function spoilt(changes: Record<number, (drawdown: Drawdown) => Drawdown>): CalibrationProblem {
  return {
    ...clean,
    drawdowns: clean.drawdowns.map((drawdown, f) => (changes[f] ? changes[f](drawdown) : drawdown)),
  };
}

const shifted =
  (by: number) =>
  (drawdown: Drawdown): Drawdown => ({
    ...drawdown,
    readings: drawdown.readings.map((reading) => ({
      ...reading,
      reflectance: reading.reflectance.map((value) => value + by),
    })),
  });

const withReadingsOf =
  (other: number) =>
  (drawdown: Drawdown): Drawdown => ({
    ...drawdown,
    readings: clean.drawdowns[other].readings,
  });

const judge = (problem: CalibrationProblem) => calibrate(problem, usualCalibrationOptions, nm, weights);
const reference = judge(clean);

/** Median relative distance of K from that of the clean data. */
function distance(result: ReturnType<typeof judge>): number {
  const off = Array.from(result.curves!.absorption, (K, i) =>
    Math.abs(K / reference.curves!.absorption[i] - 1),
  );
  return off.sort((a, b) => a - b)[off.length >> 1];
}

describe("drawdowns that contradict the others", () => {
  test("clean data have none, and every panel is predicted from the others", () => {
    expect(reference.status).toBe("accepted");
    expect(reference.outliers).toEqual([]);
    for (const { leaveOneOut, leaveOneOutAsStated } of reference.drawdowns) {
      expect(leaveOneOut).toBeLessThan(1);
      expect(leaveOneOutAsStated).toBeLessThan(4); // 5 % of thickness moves a half-hiding panel by that much
      expect(leaveOneOut).toBeGreaterThan(0);
    }
  });

  test.each([
    [
      "specular part excluded but marked as included",
      { 1: shifted(-0.04) },
      "specular mode",
      ["let-down 0.03 12"],
    ],
    [
      "weighed in double",
      { 6: (drawdown: Drawdown): Drawdown => ({ ...drawdown, fractions: Float64Array.of(0.04, 0.16, 0.8) }) },
      "composition",
      ["let-down 0.1 30"],
    ],
    [
      "two labels exchanged",
      { 2: withReadingsOf(3), 3: withReadingsOf(2) },
      "labels exchanged",
      ["let-down 0.1 12", "let-down 0.3 12"],
    ],
  ])("%s: named with its cause, set aside, and K stays as it was", (_, changes, cause, labels) => {
    const result = judge(spoilt(changes as Parameters<typeof spoilt>[0]));
    expect(result.outliers.map(({ label }) => label).sort()).toEqual(labels);
    for (const outlier of result.outliers) expect(outlier.cause).toBe(cause);
    expect(result.status).toBe("accepted with cautions");
    expect(result.drawdowns.filter(({ used }) => !used).map(({ label }) => label)).toEqual(labels);
    expect(distance(result)).toBeLessThan(0.01);
  });

  test("specular part included but marked as excluded: the film contradicts itself, and why is told", () => {
    const marked = (drawdown: Drawdown): Drawdown => ({
      ...drawdown,
      readings: drawdown.readings.map((reading) => ({ ...reading, specular: "excluded" })),
    });
    const result = judge(spoilt({ 6: marked }));
    const found = result.findings.find(({ code }) => code === "not-one-film");
    expect(found?.drawdowns).toEqual(["let-down 0.1 30"]);
    expect(found?.text).toContain("agree with the specular part included");
    expect(distance(result)).toBeLessThan(0.01);
  });

  test("the same readings kept in the fit would have spoilt K", () => {
    const problem = spoilt({ 2: withReadingsOf(3), 3: withReadingsOf(2) });
    const kept = calibrate(problem, { ...usualCalibrationOptions, outliers: "keep" }, nm);
    expect(distance(kept)).toBeGreaterThan(0.02);
  });

  test("a thickness far off is told, with how far, and found by the fit", () => {
    const result = judge(
      spoilt({
        3: (drawdown) => ({
          ...drawdown,
          thickness: { kind: "known", value: 6, relativeSigma: 0.05 }, // it is 12 µm
        }),
      }),
    );
    const found = result.findings.find(({ code }) => code === "thickness-disagrees");
    expect(found?.drawdowns).toEqual(["let-down 0.3 12"]);
    expect(result.drawdowns[3].thicknessFactor).toBeCloseTo(2, 1);
    expect(result.drawdowns[3].thickness).toBeCloseTo(12, 0);
    expect(distance(result)).toBeLessThan(0.01);
  });

  test("all thicknesses off in one direction point at the gauge or the white", () => {
    const thinner = (drawdown: Drawdown): Drawdown => {
      const { thickness } = drawdown;
      return thickness.kind === "known"
        ? { ...drawdown, thickness: { ...thickness, value: thickness.value * 0.8 } }
        : drawdown;
    };
    const result = judge(spoilt(Object.fromEntries(clean.drawdowns.map((_, f) => [f, thinner]))));
    expect(result.findings.map(({ code }) => code)).toContain("thickness-bias");
  });

  test("single readings far off lose weight: Huber's loss keeps K where squares do not", () => {
    const dirty = (drawdown: Drawdown): Drawdown => ({
      ...drawdown,
      readings: drawdown.readings.map((reading) => ({
        ...reading,
        reflectance: reading.reflectance.map((value, i) => (i % 9 === 4 ? value + 0.08 : value)),
      })),
    });
    const problem = spoilt({ 1: dirty });
    const options = { ...usualCalibrationOptions, outliers: "keep" as const, leaveOneOut: false };
    const at = (result: ReturnType<typeof judge>, i: number) =>
      Math.abs(result.curves!.absorption[i] / reference.curves!.absorption[i] - 1);
    const robust = calibrate(problem, options, nm);
    const squares = calibrate(problem, { ...options, loss: "squares" }, nm);
    for (const i of [4, 13, 22]) expect(at(robust, i)).toBeLessThan(0.6 * at(squares, i));
  });
});
