import type { DrawdownReport } from "../../../src/calibration/result.ts";
import { settledRows } from "../../../src/calibration/settled.ts";
import { curvesChart } from "../../../src/charts/curvesChart.ts";
import { reflectanceChart } from "../../../src/charts/reflectanceChart.ts";
import { largestResidual, residualChart } from "../../../src/charts/residualChart.ts";
import { settledChart } from "../../../src/charts/settledChart.ts";
import { wavelengths, workingGrid } from "../../../src/colour/grid.ts";
import type { ChartDraw } from "../../../src/controls/boleChart.ts";
import type { Calibration } from "../define.ts";

const grid = wavelengths(workingGrid);

/** K and S with their bands, beside a component they are compared with. */
export function drawCurves(
  { curves, bands, thicknessUnit, pigments }: Calibration,
  compareWith: string,
): ChartDraw {
  const other = pigments.components.find((component) => component.id === compareWith);
  return (Plot, size) =>
    curvesChart(
      Plot,
      {
        x: grid,
        xLabel: "Wavelength, nm",
        yLabel: thicknessUnit === "µm" ? "1/µm of dry film" : "per laid amount",
        logarithmic: true,
        curves: curves
          ? [
              { label: "K, absorption", y: curves.absorption, band: bands?.absorption, emphasis: true },
              { label: "S, scattering", y: curves.scattering, band: bands?.scattering, emphasis: true },
              ...(other
                ? [
                    { label: `K of ${other.name}`, y: other.absorption },
                    { label: `S of ${other.name}`, y: other.scattering },
                  ]
                : []),
            ]
          : [],
      },
      size,
    );
}

/** Where K, S or only their ratio are settled. */
export function drawSettled({ curves }: Calibration): ChartDraw | undefined {
  const status = curves?.status;
  if (!status || status.every((one) => one === "both")) return undefined;
  return (Plot, size) => settledChart(Plot, { wavelengths: grid, statements: settledRows(status) }, size);
}

/** One drawdown, measured and fitted. */
export function drawFit(report: DrawdownReport): ChartDraw {
  return (Plot, size) =>
    reflectanceChart(
      Plot,
      {
        wavelengths: grid,
        curves: report.readings.flatMap(({ ground, measured, fitted }) => [
          {
            label: `${ground}, measured`,
            values: measured,
            colour: "var(--bole-ink)",
            role: "target" as const,
          },
          {
            label: `${ground}, fitted`,
            values: fitted,
            colour: "var(--bole-ink-soft)",
            role: "film" as const,
          },
        ]),
      },
      size,
    );
}

/** What the fit leaves over, a row for each reading, and the largest of it. */
export function drawResiduals(drawdowns: readonly DrawdownReport[]): { draw: ChartDraw; most: number } {
  const rows = drawdowns.flatMap(({ label, readings }) =>
    readings.map(({ ground, fitted, measured }) => ({
      label: `${label}, ${ground}`,
      values: fitted.map((value, i) => value - measured[i]),
    })),
  );
  return {
    draw: (Plot, size) => residualChart(Plot, { wavelengths: grid, rows }, size),
    most: largestResidual(rows),
  };
}
