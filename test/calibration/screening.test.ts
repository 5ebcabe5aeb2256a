import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import type { CalibrationProblem, Drawdown } from "../../src/calibration/problem.ts";
import { type CalibrationResult, usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { simulationOf, usualDrawdowns } from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const clean = simulateDrawdowns(simulationOf(seededPaste(3), usualDrawdowns("known"), 3));
const first = (
  change: (drawdown: Drawdown) => Drawdown | Drawdown[],
  problem = clean,
): CalibrationProblem => ({
  ...problem,
  drawdowns: problem.drawdowns.flatMap((drawdown, f) => (f === 0 ? change(drawdown) : [drawdown])),
});
const judge = (problem: CalibrationProblem): CalibrationResult =>
  calibrate(problem, usualCalibrationOptions, nm);
const finding = (result: CalibrationResult, code: string) => result.findings.find((one) => one.code === code);

describe("coefficients that no paint can have", () => {
  // identity: ten times the reading of the masstone over both grounds, or a card that nothing can be.
  test.each([
    [0, "below-surface-reflection", "caution"],
    [-0.04, "impossible-values", "refused"],
  ])("a bare black card at %d, marked as specular included", (value, code, severity) => {
    const result = judge({
      ...clean,
      grounds: clean.grounds.map((ground, g) =>
        g === 0
          ? { ...ground, mode: "included" as const, reflectance: Float64Array.from(nm, () => value) }
          : ground,
      ),
    });
    expect(finding(result, code)).toMatchObject({ severity });
  });

  test("a film a thousand times too thin drives K and S beyond any paint: refused", () => {
    const times = (values: Float64Array) => values.map((value) => 1000 * value);
    const result = judge({
      ...clean,
      companions: clean.companions.map((companion) => ({
        ...companion,
        absorption: times(companion.absorption),
        scattering: times(companion.scattering),
      })),
      drawdowns: clean.drawdowns.map((drawdown) =>
        drawdown.thickness.kind === "known"
          ? { ...drawdown, thickness: { ...drawdown.thickness, value: drawdown.thickness.value / 1000 } }
          : drawdown,
      ),
    });
    expect(finding(result, "beyond-any-paint")?.severity).toBe("refused");
    expect(result.status).toBe("refused");
  });
});

describe("readings that cannot be", () => {
  test("darker over white than over black", () => {
    const result = judge(
      first((drawdown) => ({
        ...drawdown,
        readings: drawdown.readings.map((reading) => ({ ...reading, ground: 1 - reading.ground })),
      })),
    );
    expect(finding(result, "white-below-black")).toMatchObject({
      severity: "caution",
      drawdowns: ["masstone 12"],
    });
    expect(finding(result, "white-below-black")?.text).toContain("probably exchanged");
    expect(result.status).toBe("accepted with cautions");
    expect(result.drawdowns).toHaveLength(7);
  });

  test("two readings that no single film gives", () => {
    // Over black like a strong white, over white nearly as light as the bare card.
    const result = judge(
      first((drawdown) => ({
        ...drawdown,
        readings: drawdown.readings.map((reading) => ({
          ...reading,
          reflectance: reading.reflectance.map(() => (reading.ground === 0 ? 0.35 : 0.93)),
        })),
      })),
    );
    expect(finding(result, "not-one-film")).toMatchObject({
      severity: "caution",
      drawdowns: ["masstone 12"],
    });
    expect(result.status).toBe("accepted with cautions");
  });

  test("values outside what paint can reflect", () => {
    const result = judge(
      first((drawdown) => ({
        ...drawdown,
        readings: drawdown.readings.map((reading, q) =>
          q === 0 ? { ...reading, reflectance: reading.reflectance.map((value) => value * 100) } : reading,
        ),
      })),
    );
    expect(finding(result, "impossible-values")?.drawdowns).toEqual(["masstone 12"]);
    expect(result.status).not.toBe("refused");
  });

  test("nothing but such readings is refused", () => {
    const result = judge({
      ...clean,
      drawdowns: clean.drawdowns.map((drawdown) => ({
        ...drawdown,
        readings: drawdown.readings.map((reading) => ({
          ...reading,
          reflectance: reading.reflectance.map(() => 7),
        })),
      })),
    });
    expect(result.status).toBe("refused");
    expect(result.findings[0]).toMatchObject({ code: "nothing-to-fit", severity: "refused" });
    expect(result.curves).toBeUndefined();
  });

  test("below the surface reflection: the specular part was probably excluded", () => {
    const result = judge(
      first((drawdown) => ({
        ...drawdown,
        readings: drawdown.readings.map((reading) => ({
          ...reading,
          reflectance: reading.reflectance.map((value) => value - 0.04),
        })),
      })),
    );
    expect(finding(result, "below-surface-reflection")?.text).toContain("probably excluded");
  });

  test("the same reading twice in one film counts once", () => {
    const result = judge(
      first((drawdown) => ({ ...drawdown, readings: [...drawdown.readings, drawdown.readings[0]] })),
    );
    expect(finding(result, "duplicate-reading")?.severity).toBe("note");
    expect(result.drawdowns[0].readings).toHaveLength(2);
    expect(result.curves!.absorption).toEqual(judge(clean).curves!.absorption);
  });

  test("the same readings under two labels: one is a copy", () => {
    const result = judge(first((drawdown) => [drawdown, { ...drawdown, label: "let-down 0.5" }]));
    expect(finding(result, "duplicate-reading")).toMatchObject({
      severity: "caution",
      drawdowns: ["masstone 12", "let-down 0.5"],
    });
  });

  test("two films with one label are kept apart", () => {
    const result = judge({
      ...clean,
      drawdowns: clean.drawdowns.map((drawdown, f) => (f < 2 ? { ...drawdown, label: "same" } : drawdown)),
    });
    expect(result.drawdowns.slice(0, 2).map(({ label }) => label)).toEqual(["same", "same (2)"]);
    expect(finding(result, "same-label")?.severity).toBe("caution");
  });

  test("a single drawdown is accepted with a warning when its thickness is measured", () => {
    const result = judge({ ...clean, drawdowns: clean.drawdowns.slice(0, 1) });
    expect(finding(result, "single-drawdown")?.text).toContain("would go unnoticed");
    expect(result.status).toBe("accepted with cautions");
    expect(result.drawdowns[0].leaveOneOut).toBeUndefined();
  });

  test("black and white that hardly differ are told", () => {
    const grey = clean.grounds.map((ground) => ({ ...ground, reflectance: new Float64Array(36).fill(0.4) }));
    expect(finding(judge({ ...clean, grounds: grey }), "grounds-alike")?.severity).toBe("caution");
  });

  test("no drawdown, or none with the paste", () => {
    const without = clean.drawdowns.map((drawdown) => ({
      ...drawdown,
      fractions: Float64Array.of(0, 0.2, 0.8),
    }));
    expect(judge({ ...clean, drawdowns: without }).findings[0].code).toBe("nothing-to-fit");
    expect(judge({ ...clean, drawdowns: [] }).findings[0].code).toBe("nothing-to-fit");
  });

  test("shares that are no shares, curves off the grid: faults of the caller", () => {
    expect(() => judge(first((one) => ({ ...one, fractions: Float64Array.of(0.5, 0.2, 0.2) })))).toThrow(
      RangeError,
    );
    expect(() => judge(first((one) => ({ ...one, fractions: Float64Array.of(1) })))).toThrow(TypeError);
    expect(() =>
      judge({
        ...clean,
        grounds: [{ ...clean.grounds[0], reflectance: new Float64Array(3) }, clean.grounds[1]],
      }),
    ).toThrow(TypeError);
  });
});
