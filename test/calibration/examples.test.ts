import { describe, expect, test } from "vitest";
import { calibrate } from "../../src/calibration/calibrate.ts";
import { problemFromTable, usualReadingNoise } from "../../src/calibration/fromTable.ts";
import { usualCalibrationOptions } from "../../src/calibration/result.ts";
import { wavelengths, workingGrid } from "../../src/colour/grid.ts";
import { readDrawdownFile } from "../../src/tables/drawdownFile.ts";
import { binder, surface, white } from "./benchDesign.ts";
import {
  coloursFile,
  ladderFile,
  roseFile,
  roseLabel,
  roseTruth,
  unmeasuredFile,
} from "./exampleDrawdowns.ts";

const folder = "../../data/examples";
const files = {
  "drawdowns-rose.csv": roseFile(),
  "drawdowns-rose-unmeasured.csv": unmeasuredFile(),
  "drawdowns-ladder.csv": ladderFile(),
  "drawdowns-rose-colours.csv": coloursFile(),
};

describe("the invented examples", () => {
  // `npx vitest run --project unit test/calibration/examples.test.ts -u` writes them anew
  test.each(Object.entries(files))("%s is what its maker makes", async (name, text) => {
    await expect(text).toMatchFileSnapshot(`${folder}/${name}`);
  });

  const judge = (name: keyof typeof files) =>
    calibrate(
      problemFromTable(readDrawdownFile(files[name], name), roseLabel, [white, binder], {
        surface,
        noise: usualReadingNoise,
      }),
      usualCalibrationOptions,
      wavelengths(workingGrid),
    );

  test("the rose paste comes out, with the thickness that was not measured", () => {
    const result = judge("drawdowns-rose.csv");
    expect(result.status).toBe("accepted");
    const { absorption, absorptionSigma } = result.curves!;
    for (let i = 8; i < 24; i++) {
      // 460 to 610 nm, where the paste absorbs
      expect(Math.abs(absorption[i] / roseTruth.absorption[i] - 1)).toBeLessThan(0.05);
      expect(Math.abs(absorption[i] - roseTruth.absorption[i])).toBeLessThan(4 * absorptionSigma[i]);
    }
    expect(result.drawdowns[3].thickness).toBeCloseTo(24, 0);
  });

  test("the unmeasured one is refused with the right reason", () => {
    const result = judge("drawdowns-rose-unmeasured.csv");
    expect(result.status).toBe("refused");
    expect(result.findings[0].code).toBe("thickness-and-strength");
  });

  test("the ladder gives K and S per amount, and says so", () => {
    const result = judge("drawdowns-ladder.csv");
    expect(result.thicknessUnit).toBe("amount");
    expect(result.findings.map(({ code }) => code)).toContain("per-amount");
    expect(result.status).toBe("accepted with cautions");
  });
});
