import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { calibratedComponent } from "../../src/calibration/calibratedComponent.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { weightsFor } from "../../src/tables/weights.ts";
import { film, simulationOf, usualDrawdowns } from "./benchDesign.ts";
import { seededPaste } from "./seededPastes.ts";
import { simulateDrawdowns } from "./simulateDrawdowns.ts";

const nm = wavelengths(workingGrid);
const weights = weightsFor("1964-10", "D65");
const label = {
  id: "test-paste",
  name: "Test paste",
  role: "paste" as const,
  density: 1.1,
  volumeSolids: 0.3,
};

describe("calibratedComponent", () => {
  const problem = simulateDrawdowns(simulationOf(seededPaste(3), usualDrawdowns("known"), 3));
  const result = calibrate(problem, usualCalibrationOptions, nm, weights);

  test("carries K and S, their uncertainty, and where they come from", () => {
    const component = calibratedComponent(result, {
      ...label,
      colourIndex: "PR 0",
      by: "the bench",
      when: "2025-03-01",
    });
    expect(component.absorption).toEqual(result.curves!.absorption);
    expect(component.absorptionSigma).toEqual(result.curves!.absorptionSigma);
    expect(component.scatteringSigma).toEqual(result.curves!.scatteringSigma);
    expect(component.provenance).toMatchObject({ kind: "calibrated", by: "the bench", when: "2025-03-01" });
    expect(component.provenance.note).toContain("8 drawdowns");
    expect(component.provenance.note).toContain("ΔE00");
  });

  test("is refused with the reason when the calibration was", () => {
    const plan = [film("one", [0.12, 0, 0.88], 20, "unknown")];
    const refused = calibrate(
      simulateDrawdowns(simulationOf(seededPaste(3), plan, 3)),
      usualCalibrationOptions,
      nm,
    );
    expect(() => calibratedComponent(refused, label)).toThrow(/Thickness and strength cannot be told apart/);
  });

  test("is refused when K and S are per laid amount, or the label cannot be", () => {
    expect(() => calibratedComponent({ ...result, thicknessUnit: "amount" }, label)).toThrow(
      /measure one film/,
    );
    expect(() => calibratedComponent(result, { ...label, volumeSolids: 1.4 })).toThrow(/volume solids/);
  });
});
